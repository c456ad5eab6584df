package takewright.service;

import io.grpc.BindableService;
import io.grpc.MethodDescriptor;
import io.grpc.ServerBuilder;
import io.grpc.health.v1.HealthCheckResponse.ServingStatus;
import io.grpc.protobuf.services.HealthStatusManager;
import io.grpc.protobuf.services.ProtoReflectionService;
import io.grpc.protobuf.services.ProtoReflectionServiceV1;
import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.function.IntSupplier;
import takewright.service.access.GrantedFolders;
import takewright.service.build.BuildCalls;
import takewright.service.build.BuildJobs;
import takewright.service.build.BuildPages;
import takewright.service.build.Builds;
import takewright.service.call.Site;
import takewright.service.http.HttpListener;
import takewright.service.session.BoardPages;
import takewright.service.session.SessionService;
import takewright.service.session.SessionStore;
import takewright.service.work.Workers;
import takewright.v1.SessionServiceGrpc;

/** The contract's services and what they share, whichever servers they answer through. */
final class Services implements AutoCloseable {
  private final GrantedFolders folders;
  private final Workers workers = new Workers();
  private final BuildPages pages;
  private final Builds builds;
  private final BoardPages boards;

  /** Null: followed sessions end with the service. */
  private final SessionStore sessions;

  private final HealthStatusManager health = new HealthStatusManager();
  private final SessionService following;
  private final List<BindableService> contract;

  /**
   * @param sessionFolder where followed sessions are kept, or null
   * @param buildFolder where the records of builds are kept, or null
   * @param builder what a build does
   * @param board where the boards of sessions are shown
   * @param httpPort the port of plain HTTP, once it is open; 0 for none
   */
  Services(
      GrantedFolders folders,
      Path sessionFolder,
      Path buildFolder,
      BuildJobs.Builder builder,
      HttpListener.ListenAddress board,
      IntSupplier httpPort)
      throws IOException {
    this.folders = folders;
    pages = new BuildPages();
    builds = new Builds(buildFolder);
    boards = new BoardPages(board);
    if (board.port() != 0) {
      boards.listen();
    }
    sessions = sessionFolder == null ? null : new SessionStore(sessionFolder);
    Site site = new Site(folders, workers);
    following = new SessionService(site, sessions, boards);
    contract =
        List.of(
            new OperationsService(site),
            new LibraryService(site, new BuildCalls(site, pages, builds, builder)),
            new NamingService(),
            following,
            new ServerService(folders, httpPort));
    contract.forEach(service -> health.setStatus(name(service), ServingStatus.SERVING));
  }

  private static String name(BindableService service) {
    return service.bindService().getServiceDescriptor().getName();
  }

  /** Makes a server answer for them. */
  void addTo(ServerBuilder<?> builder) {
    // Adapters hand everything that may wait to the workers, so the network's threads can call them
    // directly, which saves a thread switch for each message.
    builder.directExecutor();
    contract.forEach(builder::addService);
    builder.addService(health.getHealthService());
    builder.addService(ProtoReflectionServiceV1.newInstance());
    builder.addService(olderReflection());
  }

  /** Version v1alpha, by which many tools still ask. */
  @SuppressWarnings("deprecation")
  private static BindableService olderReflection() {
    return ProtoReflectionService.newInstance();
  }

  /** What of the contract can be called with one request: all but the call that needs a stream. */
  List<MethodDescriptor<?, ?>> forHttp() {
    String followed = SessionServiceGrpc.getFollowSessionMethod().getFullMethodName();
    List<MethodDescriptor<?, ?>> methods = new ArrayList<>();
    for (BindableService service : contract) {
      methods.addAll(service.bindService().getServiceDescriptor().getMethods());
    }
    methods.removeIf(method -> method.getFullMethodName().equals(followed));
    return methods;
  }

  GrantedFolders folders() {
    return folders;
  }

  /** Tells clients that the service ends: those that ask, and those of sessions and of builds. */
  void end() {
    health.enterTerminalState();
    following.stopWithService();
    builds.stopWithService();
  }

  @Override
  public void close() throws IOException {
    workers.close();
    pages.close();
    boards.close();
    if (sessions != null) {
      sessions.close();
    }
  }
}
