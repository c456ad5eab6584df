package takewright.service.session;

import io.grpc.stub.StreamObserver;
import takewright.service.call.Site;
import takewright.service.call.StreamedCall;
import takewright.service.call.UnaryCall;
import takewright.service.work.Priority;
import takewright.v1.EndSessionRequest;
import takewright.v1.EndSessionResponse;
import takewright.v1.FollowSessionRequest;
import takewright.v1.FollowSessionResponse;
import takewright.v1.OpenBoardRequest;
import takewright.v1.OpenBoardResponse;
import takewright.v1.SessionServiceGrpc;

/** Follows sessions while they are recorded. */
public final class SessionService extends SessionServiceGrpc.SessionServiceImplBase {
  private final Site site;
  private final Sessions sessions;
  private final BoardPages boards;
  private final FollowAdapter follow;

  /**
   * @param store where sessions outlast this service, or null
   */
  public SessionService(Site site, SessionStore store, BoardPages boards) {
    this.site = site;
    this.boards = boards;
    this.sessions = new Sessions(store, boards.boards());
    this.follow = new FollowAdapter(sessions);
  }

  /** Tells the clients of all followed sessions that the service ends. */
  public void stopWithService() {
    sessions.stopWithService();
  }

  @Override
  public StreamObserver<FollowSessionRequest> followSession(
      StreamObserver<FollowSessionResponse> answers) {
    return StreamedCall.open(follow, site, answers);
  }

  @Override
  public void openBoard(OpenBoardRequest request, StreamObserver<OpenBoardResponse> answers) {
    UnaryCall.atOnce(
        answers,
        () -> {
          if (!boards.boards().knows(request.getSessionId())) {
            throw Sessions.unknown(request.getSessionId());
          }
          return OpenBoardResponse.newBuilder().setUrl(boards.open(request.getSessionId())).build();
        });
  }

  @Override
  public void endSession(EndSessionRequest request, StreamObserver<EndSessionResponse> answers) {
    UnaryCall.work(
        site.workers(),
        Priority.SHORT,
        answers,
        () -> {
          sessions.endWaiting(request.getSessionId());
          boards.boards().forget(request.getSessionId());
          return EndSessionResponse.getDefaultInstance();
        });
  }
}
