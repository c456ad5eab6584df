package takewright.cli;

import java.io.IOException;
import java.io.OutputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import takewright.service.ServerSettings;
import takewright.service.TakewrightServer;

/** Loads the classes that commands and the service start with, so that Java can archive them. */
@Command(
    name = "warm-up",
    hidden = true,
    mixinStandardHelpOptions = true,
    description = "Runs a little of every other command, to fill the class archive.")
final class WarmUpCommand implements Callable<Integer> {
  @Override
  public Integer call() throws IOException {
    Path folder = Files.createTempDirectory("takewright-");
    Path token = folder.resolve("token");
    PrintStream nowhere =
        new PrintStream(OutputStream.nullOutputStream(), false, StandardCharsets.UTF_8);
    try (TakewrightServer server =
        TakewrightServer.start(
            new ServerSettings(ServerSettings.DEFAULT_HOST, 0, List.of(folder), token))) {
      String[] name = {"name", "--midi", "60", "--pattern", "{note}"};
      Main.run(nowhere, nowhere, name);
      Main.run(
          nowhere,
          nowhere,
          "name",
          "--parse",
          "C4",
          "--pattern",
          "{note}",
          "--server",
          server.address(),
          "--token-file",
          token.toString());
    } finally {
      Files.deleteIfExists(token);
      Files.delete(folder);
    }
    return Main.DONE;
  }
}
