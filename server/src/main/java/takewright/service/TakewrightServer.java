package takewright.service;

import io.grpc.BindableService;
import io.grpc.InsecureServerCredentials;
import io.grpc.Server;
import io.grpc.ServerBuilder;
import io.grpc.ServerCredentials;
import io.grpc.TlsServerCredentials;
import io.grpc.health.v1.HealthCheckResponse.ServingStatus;
import io.grpc.inprocess.InProcessServerBuilder;
import io.grpc.netty.shaded.io.grpc.netty.NettyServerBuilder;
import io.grpc.protobuf.services.HealthStatusManager;
import io.grpc.protobuf.services.ProtoReflectionServiceV1;
import java.io.IOException;
import java.io.InputStream;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.UUID;
import java.util.concurrent.TimeUnit;
import takewright.service.access.AccessToken;
import takewright.service.access.CallLog;
import takewright.service.access.GrantedFolders;
import takewright.service.access.Limits;
import takewright.service.build.BuildCalls;
import takewright.service.build.BuildPages;
import takewright.service.call.Site;
import takewright.service.session.SessionService;
import takewright.service.session.SessionStore;
import takewright.service.work.Workers;

/** A running service: inside this process, or for other programs. */
public final class TakewrightServer implements AutoCloseable {
  /** Time for running calls to finish when the server closes, in seconds. */
  private static final int GRACE_S = 5;

  private final Server server;
  private final String name;
  private final GrantedFolders folders;
  private final AccessToken token;
  private final HealthStatusManager health;
  private final Workers workers;
  private final BuildPages pages;
  private final SessionStore sessions;
  private MetricsPage metricsPage;

  private TakewrightServer(
      Server server,
      String name,
      GrantedFolders folders,
      AccessToken token,
      HealthStatusManager health,
      Workers workers,
      BuildPages pages,
      SessionStore sessions) {
    this.server = server;
    this.name = name;
    this.folders = folders;
    this.token = token;
    this.health = health;
    this.workers = workers;
    this.pages = pages;
    this.sessions = sessions;
  }

  /** Starts a server that only this process can call; it may access whatever the user may. */
  public static TakewrightServer startInProcess() throws IOException {
    String name = "takewright-" + UUID.randomUUID();
    GrantedFolders folders = GrantedFolders.everything();
    Workers workers = new Workers();
    BuildPages pages = new BuildPages();
    HealthStatusManager health = new HealthStatusManager();
    InProcessServerBuilder builder = InProcessServerBuilder.forName(name);
    addServices(builder, new Site(folders, workers), pages, null, health);
    return new TakewrightServer(
        builder.build().start(), name, folders, null, health, workers, pages, null);
  }

  /**
   * Starts a server for other programs, and writes its token.
   *
   * @throws IllegalArgumentException if the host is not loopback and there is no TLS, or a
   *     certificate or key is none
   * @throws IOException if the port is taken, a folder does not exist, or the token cannot be
   *     written
   */
  public static TakewrightServer start(ServerSettings settings) throws IOException {
    InetAddress address = InetAddress.getByName(settings.host());
    if (!address.isLoopbackAddress() && settings.tls() == null) {
      throw new IllegalArgumentException(
          settings.host()
              + " can be reached from other machines, which needs TLS: give --tls-cert and"
              + " --tls-key, or listen on "
              + ServerSettings.DEFAULT_HOST);
    }
    ServerCredentials credentials = credentials(settings.tls());
    GrantedFolders folders = GrantedFolders.of(settings.allowed());
    Workers workers = new Workers();
    BuildPages pages = new BuildPages();
    HealthStatusManager health = new HealthStatusManager();
    AccessToken token = new AccessToken();
    Metrics metrics = new Metrics();
    NettyServerBuilder builder =
        NettyServerBuilder.forAddress(new InetSocketAddress(address, settings.port()), credentials)
            .maxInboundMessageSize(Limits.MESSAGE_BYTES)
            // Clients may send keepalive pings while a build reports nothing.
            .permitKeepAliveTime(10, TimeUnit.SECONDS)
            .addStreamTracerFactory(new CallLog())
            // The interceptor added last is called first, so that refusals are counted too.
            .intercept(token)
            .intercept(metrics);
    SessionStore sessions =
        settings.stateFolder() == null
            ? null
            : new SessionStore(settings.stateFolder().resolve("sessions"));
    addServices(builder, new Site(folders, workers), pages, sessions, health);
    Server server;
    try {
      server = builder.build().start();
    } catch (IOException e) {
      pages.close();
      if (sessions != null) {
        sessions.close();
      }
      throw e;
    }
    TakewrightServer started =
        new TakewrightServer(
            server,
            settings.host() + ":" + server.getPort(),
            folders,
            token,
            health,
            workers,
            pages,
            sessions);
    boolean ready = false;
    try {
      if (settings.metricsPort() >= 0) {
        started.metricsPage = MetricsPage.open(settings.metricsPort(), metrics);
      }
      Path file = settings.tokenFile();
      token.write(file == null ? ServerSettings.defaultTokenFile(server.getPort()) : file);
      ready = true;
    } finally {
      if (!ready) {
        started.close();
      }
    }
    return started;
  }

  private static ServerCredentials credentials(ServerSettings.Tls tls) throws IOException {
    if (tls == null) {
      return InsecureServerCredentials.create();
    }
    try (InputStream certificate = Files.newInputStream(tls.certificate());
        InputStream key = Files.newInputStream(tls.key())) {
      TlsServerCredentials.Builder builder =
          TlsServerCredentials.newBuilder().keyManager(certificate, key);
      if (tls.clientAuthority() != null) {
        builder
            .trustManager(tls.clientAuthority().toFile())
            .clientAuth(TlsServerCredentials.ClientAuth.REQUIRE);
      }
      return builder.build();
    }
  }

  private static void addServices(
      ServerBuilder<?> builder,
      Site site,
      BuildPages pages,
      SessionStore sessions,
      HealthStatusManager health) {
    // Adapters hand everything that may wait to the workers, so the network's threads can call them
    // directly, which saves a thread switch for each message.
    builder.directExecutor();
    serve(builder, health, new OperationsService(site), ServingStatus.SERVING);
    serve(
        builder,
        health,
        new LibraryService(site, new BuildCalls(site, pages)),
        ServingStatus.SERVING);
    serve(builder, health, new NamingService(), ServingStatus.SERVING);
    serve(builder, health, new SessionService(site, sessions), ServingStatus.SERVING);
    builder.addService(health.getHealthService());
    builder.addService(ProtoReflectionServiceV1.newInstance());
  }

  private static void serve(
      ServerBuilder<?> builder,
      HealthStatusManager health,
      BindableService service,
      ServingStatus status) {
    builder.addService(service);
    health.setStatus(service.bindService().getServiceDescriptor().getName(), status);
  }

  /** The name of the in-process server, or the address as host:port. */
  public String address() {
    return name;
  }

  /** The TCP port, or -1 for a server inside this process. */
  public int port() {
    return server.getPort();
  }

  /** The file that holds the token, or null for a server inside this process. */
  public Path tokenFile() {
    return token == null ? null : token.file();
  }

  /** The TCP port that answers Prometheus, or -1. */
  public int metricsPort() {
    return metricsPage == null ? -1 : metricsPage.port();
  }

  /** The real paths of the granted folders; empty if none was granted, or everything is. */
  public List<Path> allowed() {
    return folders.roots();
  }

  /** Waits until the server has been closed. */
  public void awaitTermination() throws InterruptedException {
    server.awaitTermination();
  }

  /** Accepts no more calls, gives running ones a few seconds, and stops the rest. */
  @Override
  public void close() throws IOException {
    close(GRACE_S);
  }

  /** Stops running calls at once; they leave nothing half-written. */
  public void stop() throws IOException {
    close(0);
  }

  private void close(int graceS) throws IOException {
    health.enterTerminalState();
    server.shutdown();
    try {
      if (!server.awaitTermination(graceS, TimeUnit.SECONDS)) {
        server.shutdownNow();
      }
    } catch (InterruptedException e) {
      server.shutdownNow();
      Thread.currentThread().interrupt();
    }
    workers.close();
    pages.close();
    if (sessions != null) {
      sessions.close();
    }
    if (metricsPage != null) {
      metricsPage.close();
    }
    if (token != null) {
      token.remove();
    }
  }
}
