package takewright.service;

import io.grpc.stub.StreamObserver;
import takewright.v1.FollowSessionRequest;
import takewright.v1.FollowSessionResponse;
import takewright.v1.SessionServiceGrpc;

/** Listening along while a session is recorded. */
final class SessionService extends SessionServiceGrpc.SessionServiceImplBase {
  @Override
  public StreamObserver<FollowSessionRequest> followSession(
      StreamObserver<FollowSessionResponse> answers) {
    return Unfilled.stream("FollowSession", answers);
  }
}
