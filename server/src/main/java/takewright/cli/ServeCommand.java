package takewright.cli;

import java.io.IOException;
import java.net.BindException;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.Callable;
import java.util.stream.Collectors;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParentCommand;
import takewright.service.ServerSettings;
import takewright.service.TakewrightServer;

@Command(
    name = "serve",
    mixinStandardHelpOptions = true,
    description = "Runs the service for other programs of this user, until it is interrupted.")
final class ServeCommand implements Callable<Integer> {
  @ParentCommand private Main main;

  @Option(
      names = "--host",
      paramLabel = "ADDRESS",
      defaultValue = ServerSettings.DEFAULT_HOST,
      description = "Address to listen on; this version takes loopback only. Default: 127.0.0.1.")
  private String host;

  @Option(
      names = "--port",
      paramLabel = "N",
      defaultValue = "" + ServerSettings.DEFAULT_PORT,
      description = "Port to listen on; 0 takes one that is free. Default: ${DEFAULT-VALUE}.")
  private int port;

  @Option(
      names = "--allow",
      paramLabel = "DIR",
      description =
          "A folder whose files calls may read and write; may be given again. Default: none, so"
              + " that calls may only stream audio.")
  private List<Path> allowed = List.of();

  @Option(
      names = "--token-file",
      paramLabel = "FILE",
      description =
          "Where to write the token that callers need. Default: ~/.takewright/token-PORT.")
  private Path tokenFile;

  @Override
  public Integer call() throws IOException, InterruptedException {
    TakewrightServer server;
    try {
      server = TakewrightServer.start(new ServerSettings(host, port, allowed, tokenFile));
    } catch (IOException e) {
      if (e instanceof BindException || e.getCause() instanceof BindException) {
        throw new IOException("port " + port + " is taken: choose another with --port", e);
      }
      throw e;
    }
    Runtime.getRuntime()
        .addShutdownHook(
            new Thread(
                () -> {
                  try {
                    server.close();
                  } catch (IOException e) {
                    main.complain(Main.describe(e));
                  }
                }));
    String folders =
        server.allowed().isEmpty()
            ? "no folders granted (--allow DIR grants one)"
            : "granted: "
                + server.allowed().stream().map(Path::toString).collect(Collectors.joining(", "));
    main.out.println(
        "listening on " + server.address() + ", token in " + server.tokenFile() + ", " + folders);
    main.out.flush();
    server.awaitTermination();
    return Main.DONE;
  }
}
