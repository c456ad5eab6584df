package takewright.service;

import io.grpc.InsecureServerCredentials;
import io.grpc.Server;
import io.grpc.ServerCredentials;
import io.grpc.TlsServerCredentials;
import io.grpc.inprocess.InProcessServerBuilder;
import io.grpc.netty.shaded.io.grpc.netty.NettyServerBuilder;
import java.io.IOException;
import java.io.InputStream;
import java.net.BindException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.UUID;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;
import javax.net.ssl.SSLContext;
import takewright.diagnosis.Problem;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.report.ReportedBuild;
import takewright.service.access.AccessToken;
import takewright.service.access.CallLog;
import takewright.service.access.GrantedFolders;
import takewright.service.access.LongMessages;
import takewright.service.http.HttpListener;
import takewright.service.http.PemIdentity;

/** A running service: inside this process, or for other programs. */
public final class TakewrightServer implements AutoCloseable {
  /** Time for running calls to finish when the server closes, in seconds. */
  private static final int GRACE_S = 5;

  /** Time without a sign of life before a client is asked for one, and until it must answer. */
  private static final int KEEPALIVE_S = 30;

  /** Time after which a connection without calls is closed; clients connect again by themselves. */
  private static final int IDLE_MIN = 30;

  /** The version of the program. */
  public static final String VERSION = "0.1.0";

  private final Services services;
  private final Server server;
  private final String name;

  /** Null for a server inside this process. */
  private final AccessToken token;

  private MetricsPage metricsPage;
  private HttpServing http;

  private TakewrightServer(Services services, Server server, String name, AccessToken token) {
    this.services = services;
    this.server = server;
    this.name = name;
    this.token = token;
  }

  /** Starts a server that only this process can call; it may access whatever the user may. */
  public static TakewrightServer startInProcess() throws IOException {
    String name = "takewright-" + UUID.randomUUID();
    Services services =
        new Services(
            GrantedFolders.everything(),
            null,
            null,
            // Nobody is there to draw anything once the command has ended.
            ReportedBuild::run,
            HttpListener.ListenAddress.onLoopback(0),
            () -> 0);
    InProcessServerBuilder builder = InProcessServerBuilder.forName(name);
    services.addTo(builder);
    return new TakewrightServer(services, builder.build().start(), name, null);
  }

  /**
   * Starts a server for other programs, and writes its token.
   *
   * @throws IllegalArgumentException if the host is not loopback and there is no TLS or plain HTTP
   *     is asked for, or a certificate or key is none
   * @throws IOException if a port is taken, a folder does not exist, or the token cannot be written
   */
  public static TakewrightServer start(ServerSettings settings) throws IOException {
    InetAddress address = InetAddress.getByName(settings.host());
    requireSafe(settings, address);
    AccessToken token = new AccessToken();
    Metrics metrics = new Metrics();
    NettyServerBuilder builder = builder(settings, address, token, metrics);
    AtomicInteger httpPort = new AtomicInteger();
    Services services =
        new Services(
            GrantedFolders.of(settings.allowed()),
            settings.sessionFolder(),
            settings.buildFolder(),
            ReportedBuild::runUndrawn,
            new HttpListener.ListenAddress(
                address, settings.boardPort(), pageContext(settings.tls())),
            httpPort::get);
    services.addTo(builder);
    Server server;
    try {
      server = builder.build().start();
    } catch (IOException e) {
      services.close();
      throw taken("port", settings.port(), e);
    }
    TakewrightServer started =
        new TakewrightServer(services, server, settings.host() + ":" + server.getPort(), token);
    boolean ready = false;
    try {
      started.openPages(settings, metrics);
      httpPort.set(Math.max(0, started.httpPort())); // the contract says 0 for none
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

  private static NettyServerBuilder builder(
      ServerSettings settings, InetAddress address, AccessToken token, Metrics metrics)
      throws IOException {
    LongMessages longMessages = new LongMessages();
    return NettyServerBuilder.forAddress(
            new InetSocketAddress(address, settings.port()), credentials(settings.tls()))
        .maxInboundMessageSize(Integer.MAX_VALUE)
        .decompressorRegistry(LongMessages.decompressors())
        // Clients may send keepalive pings while a build reports nothing.
        .permitKeepAliveTime(10, TimeUnit.SECONDS)
        // A client that is gone without a word holds nothing for longer than this.
        .keepAliveTime(KEEPALIVE_S, TimeUnit.SECONDS)
        .keepAliveTimeout(KEEPALIVE_S, TimeUnit.SECONDS)
        .maxConnectionIdle(IDLE_MIN, TimeUnit.MINUTES)
        .addStreamTracerFactory(new CallLog())
        .addStreamTracerFactory(longMessages)
        .intercept(longMessages)
        // The interceptor added last is called first, so that refusals are counted too.
        .intercept(token)
        .intercept(metrics);
  }

  /** Answers Prometheus and plain HTTP, if that is asked for. */
  private void openPages(ServerSettings settings, Metrics metrics) throws IOException {
    if (settings.metricsPort() >= 0) {
      metricsPage =
          open("metrics_port", settings.metricsPort(), port -> MetricsPage.open(port, metrics));
    }
    if (settings.httpPort() >= 0) {
      http =
          open(
              "http_port",
              settings.httpPort(),
              port -> HttpServing.open(port, services, token, metrics));
    }
  }

  /** For pages; null where there is no TLS. */
  private static SSLContext pageContext(ServerSettings.Tls tls) throws IOException {
    return tls == null ? null : PemIdentity.context(tls.certificate(), tls.key());
  }

  private static void requireSafe(ServerSettings settings, InetAddress address) {
    if (address.isLoopbackAddress()) {
      return;
    }
    if (settings.tls() == null) {
      throw new IllegalArgumentException(
          settings.host()
              + " can be reached from other machines, which needs TLS: give --tls-cert and"
              + " --tls-key, or listen on "
              + ServerSettings.DEFAULT_HOST);
    }
    if (settings.httpPort() >= 0) {
      throw new IllegalArgumentException(
          "plain HTTP is for this machine alone, and "
              + settings.host()
              + " can be reached from others: leave out --http-port, or listen on "
              + ServerSettings.DEFAULT_HOST);
    }
  }

  private interface Opening<T> {
    T at(int port) throws IOException;
  }

  private static <T> T open(String field, int port, Opening<T> opening) throws IOException {
    try {
      return opening.at(port);
    } catch (BindException e) {
      throw taken(field, port, e);
    }
  }

  private static ProblemException taken(String field, int port, IOException e) {
    Problem problem =
        new Problem(
            Reason.NOT_NOW,
            field,
            port + " is taken, or this user may not listen on it",
            "choose another port");
    return new ProblemException(problem, e);
  }

  private static ServerCredentials credentials(ServerSettings.Tls tls) throws IOException {
    if (tls == null) {
      return InsecureServerCredentials.create();
    }
    PemIdentity.requirePrivate(tls.key());
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

  /** The TCP port that answers plain HTTP, or -1. */
  public int httpPort() {
    return http == null ? -1 : http.port();
  }

  /** The real paths of the granted folders; empty if none was granted, or everything is. */
  public List<Path> allowed() {
    return services.folders().roots();
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
    services.end();
    server.shutdown();
    try {
      if (!server.awaitTermination(graceS, TimeUnit.SECONDS)) {
        server.shutdownNow();
      }
    } catch (InterruptedException e) {
      server.shutdownNow();
      Thread.currentThread().interrupt();
    }
    if (http != null) {
      http.close();
    }
    services.close();
    if (metricsPage != null) {
      metricsPage.close();
    }
    if (token != null) {
      token.remove();
    }
  }
}
