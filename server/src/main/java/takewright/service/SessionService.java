package takewright.service;

import io.grpc.stub.StreamObserver;
import takewright.v1.FollowSessionRequest;
import takewright.v1.FollowSessionResponse;
import takewright.v1.SessionServiceGrpc;

/** Listening along while a session is recorded. */
final class SessionService extends SessionServiceGrpc.SessionServiceImplBase {
  private final Site site;
  private final FollowAdapter follow = new FollowAdapter(new Sessions());

  SessionService(Site site) {
    this.site = site;
  }

  @Override
  public StreamObserver<FollowSessionRequest> followSession(
      StreamObserver<FollowSessionResponse> answers) {
    return StreamedCall.open(follow, site, answers);
  }
}
