package takewright.cli;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.Callable;
import java.util.stream.Collectors;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParentCommand;
import picocli.CommandLine.Spec;
import takewright.service.Logs;
import takewright.service.ServerSettings;
import takewright.service.TakewrightServer;

@Command(
    name = "serve",
    mixinStandardHelpOptions = true,
    description = "Runs the service for other programs until it is interrupted.")
final class ServeCommand implements Callable<Integer> {
  @ParentCommand private Main main;
  @Spec private CommandSpec spec;

  @Option(
      names = "--host",
      paramLabel = "ADDRESS",
      defaultValue = ServerSettings.DEFAULT_HOST,
      description =
          "Address to listen on; an address that other machines can reach needs"
              + " --tls-cert and --tls-key. Default: 127.0.0.1.")
  private String host;

  @Option(
      names = "--port",
      paramLabel = "N",
      defaultValue = "" + ServerSettings.DEFAULT_PORT,
      description = "Port to listen on; 0 takes any free one. Default: ${DEFAULT-VALUE}.")
  private int port;

  @Option(
      names = "--allow",
      paramLabel = "DIR",
      description =
          "Folder whose files calls may read and write; may be repeated. Default:"
              + " none, so calls can only stream audio.")
  private List<Path> allowed = List.of();

  @Option(
      names = "--token-file",
      paramLabel = "FILE",
      description = "File for the token that callers need. Default: ~/.takewright/token-PORT.")
  private Path tokenFile;

  @Option(
      names = "--tls-cert",
      paramLabel = "FILE",
      description = "The service's certificate (PEM); turns TLS on. Default: no TLS.")
  private Path tlsCertificate;

  @Option(
      names = "--tls-key",
      paramLabel = "FILE",
      description = "The private key of --tls-cert (PEM, PKCS#8).")
  private Path tlsKey;

  @Option(
      names = "--tls-client-ca",
      paramLabel = "FILE",
      description =
          "CA certificate (PEM): accepts only clients whose certificate it signed."
              + " Default: the token is enough.")
  private Path tlsClientAuthority;

  @Option(
      names = "--metrics-port",
      paramLabel = "N",
      defaultValue = "-1",
      description =
          "Serves http://127.0.0.1:N/metrics in the Prometheus text format; 0 takes"
              + " any free port. Default: no metrics.")
  private int metricsPort;

  @Option(
      names = "--http-port",
      paramLabel = "N",
      defaultValue = "-1",
      description =
          "Also answers plain HTTP on http://127.0.0.1:N/v1/METHOD, for scripts without gRPC; 0"
              + " takes any free port. Default: no plain HTTP.")
  private int httpPort;

  @Option(
      names = "--board-port",
      paramLabel = "N",
      defaultValue = "0",
      description =
          "Shows the boards of followed sessions on this port, so that a browser finds them again"
              + " after a restart. Default: any free port.")
  private int boardPort;

  /** How the log is written. */
  enum LogFormat {
    TEXT,
    JSON
  }

  @Option(
      names = "--log",
      paramLabel = "FORMAT",
      defaultValue = "text",
      description =
          "Log on standard error: text holds failures only; json holds one object per"
              + " line, also for each call. Default: text.")
  private LogFormat log;

  @Option(
      names = "--state",
      paramLabel = "DIR",
      description =
          "Folder that keeps followed sessions with their audio until they end, and the"
              + " records of builds, so that they survive a restart. Default: $XDG_STATE_HOME/takewright, or"
              + " ~/.local/state/takewright.")
  private Path stateFolder;

  private Path state() {
    if (stateFolder != null) {
      return stateFolder;
    }
    Path usual = ServerSettings.defaultStateFolder();
    try {
      Files.createDirectories(usual);
      return Files.isWritable(usual) ? usual : null;
    } catch (IOException e) {
      // A user without a home folder still gets a service.
      return null;
    }
  }

  private ServerSettings settings() {
    ServerSettings.Tls tls = null;
    if (tlsCertificate != null && tlsKey != null) {
      tls = new ServerSettings.Tls(tlsCertificate, tlsKey, tlsClientAuthority);
    } else if (tlsCertificate != null || tlsKey != null || tlsClientAuthority != null) {
      throw new IllegalArgumentException("TLS needs both --tls-cert and --tls-key");
    }
    return new ServerSettings(
        host, port, allowed, tokenFile, tls, metricsPort, httpPort, boardPort, state());
  }

  @Override
  public Integer call() throws IOException, InterruptedException {
    if (log == LogFormat.JSON) {
      Logs.asJson();
    }
    TakewrightServer server = TakewrightServer.start(settings());
    Thread atExit = new Thread(() -> close(server));
    Runtime.getRuntime().addShutdownHook(atExit);
    tell(server);
    try {
      server.awaitTermination();
    } catch (InterruptedException e) {
      Runtime.getRuntime().removeShutdownHook(atExit);
      close(server);
      throw e;
    }
    return Main.DONE;
  }

  private void close(TakewrightServer server) {
    try {
      server.close();
    } catch (IOException e) {
      main.complain(e, spec);
    }
    if (log == LogFormat.JSON) {
      Logs.close();
    }
  }

  /** Prints where the service listens and what it may reach. */
  private void tell(TakewrightServer server) {
    String folders =
        server.allowed().isEmpty()
            ? "no folders granted (--allow DIR grants one)"
            : "granted: "
                + server.allowed().stream().map(Path::toString).collect(Collectors.joining(", "));
    String metrics =
        server.metricsPort() < 0
            ? ""
            : ", metrics on http://127.0.0.1:" + server.metricsPort() + "/metrics";
    String http =
        server.httpPort() < 0 ? "" : ", plain HTTP on http://127.0.0.1:" + server.httpPort();
    main.out.println(
        "listening on "
            + server.address()
            + ", token in "
            + server.tokenFile()
            + ", "
            + folders
            + http
            + metrics);
    main.out.flush();
  }
}
