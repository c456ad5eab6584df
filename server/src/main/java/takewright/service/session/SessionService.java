package takewright.service.session;

import io.grpc.stub.StreamObserver;
import takewright.service.call.Site;
import takewright.service.call.StreamedCall;
import takewright.v1.FollowSessionRequest;
import takewright.v1.FollowSessionResponse;
import takewright.v1.SessionServiceGrpc;

/** Follows sessions while they are recorded. */
public final class SessionService extends SessionServiceGrpc.SessionServiceImplBase {
  private final Site site;
  private final FollowAdapter follow;

  /**
   * @param store where sessions outlast this service, or null
   */
  public SessionService(Site site, SessionStore store) {
    this.site = site;
    this.follow = new FollowAdapter(new Sessions(store));
  }

  @Override
  public StreamObserver<FollowSessionRequest> followSession(
      StreamObserver<FollowSessionResponse> answers) {
    return StreamedCall.open(follow, site, answers);
  }
}
