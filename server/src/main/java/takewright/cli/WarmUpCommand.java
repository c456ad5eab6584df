package takewright.cli;

import java.io.IOException;
import java.io.OutputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Comparator;
import java.util.List;
import java.util.concurrent.Callable;
import java.util.stream.Stream;
import picocli.CommandLine.Command;
import takewright.service.ServerSettings;
import takewright.service.TakewrightServer;

/**
 * Loads the classes that commands, builds and the service need, so that Java can archive them: the
 * demo is built once in this process and, with nothing left to do, once by a service.
 */
@Command(
    name = "warm-up",
    hidden = true,
    mixinStandardHelpOptions = true,
    description = "Runs a little of every other command, to fill the class archive.")
final class WarmUpCommand implements Callable<Integer> {
  @Override
  public Integer call() throws IOException {
    Path folder = Files.createTempDirectory("takewright-").toRealPath();
    Path token = folder.resolve("token");
    String demo = folder.resolve("demo").toString();
    String sheet = folder.resolve("demo/session/sheet.yaml").toString();
    String library = folder.resolve("demo/library").toString();
    String take = folder.resolve("demo/session/hits.wav").toString();
    try (TakewrightServer server =
        TakewrightServer.start(
            new ServerSettings(ServerSettings.DEFAULT_HOST, 0, List.of(folder), token))) {
      String[] service = {"--server", server.address(), "--token-file", token.toString()};
      run(List.of("name", "--midi", "60", "--pattern", "{note}", "--local"));
      run(List.of("demo", "--out", demo, "--local"));
      run(List.of("name", "--parse", "C4", "--pattern", "{note}"), service);
      run(List.of("build", sheet, "--out", library), service);
      run(List.of("segment", take), service);
    } finally {
      delete(folder);
    }
    return Main.DONE;
  }

  private static void run(List<String> command, String... more) {
    PrintStream nowhere =
        new PrintStream(OutputStream.nullOutputStream(), false, StandardCharsets.UTF_8);
    Main.run(
        nowhere, nowhere, Stream.concat(command.stream(), Stream.of(more)).toArray(String[]::new));
  }

  private static void delete(Path folder) throws IOException {
    try (Stream<Path> all = Files.walk(folder)) {
      for (Path file : all.sorted(Comparator.reverseOrder()).toList()) {
        Files.delete(file);
      }
    }
  }
}
