package takewright.cli;

import java.io.IOException;
import java.nio.file.Path;
import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParentCommand;
import takewright.cli.connect.Connection;
import takewright.demo.Demo;

@Command(
    name = "demo",
    mixinStandardHelpOptions = true,
    description = "Makes a demo session with an invented player, and builds it.")
final class DemoCommand implements Callable<Integer> {
  @ParentCommand private Main main;
  @Mixin private Connection connection;

  @Option(
      names = "--out",
      paramLabel = "DIR",
      defaultValue = "takewright-demo",
      description = "Where to write the session and the library. Default: ${DEFAULT-VALUE}.")
  private Path out;

  @Override
  public Integer call() throws IOException {
    Path sheet = Demo.write(LocalFiles.real(out.resolve("session")));
    main.out.println("session: " + sheet);
    try (Connection.Session session = connection.open()) {
      return LibraryBuild.run(
          main,
          session,
          LibraryBuild.request(sheet, out.resolve("library")).build(),
          false,
          false,
          false);
    }
  }
}
