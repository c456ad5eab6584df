package takewright.cli;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Optional;
import java.util.concurrent.Callable;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParentCommand;
import takewright.cli.connect.Connection;
import takewright.cli.option.LocalFiles;
import takewright.demo.Demo;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Reason;

@Command(
    name = "demo",
    mixinStandardHelpOptions = true,
    description = "Makes a demo session with an invented player, and builds it.")
final class DemoCommand implements Callable<Integer> {
  private static final Pattern OTHERS = Pattern.compile("(?i).+\\.(wav|aiff?|aifc|flac|bwf|ya?ml)");

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
    refuseTakes();
    Path sheet = Demo.write(LocalFiles.real(out.resolve("session")));
    main.out.println("session: " + sheet);
    try (Connection.OpenConnection session = connection.open()) {
      return LibraryBuild.run(
          main,
          session,
          LibraryBuild.request(sheet, out.resolve("library")).build(),
          LibraryBuild.Manner.USUAL);
    }
  }

  /** A folder in which somebody keeps takes or sheets is no place for the demo's folders. */
  private void refuseTakes() throws IOException {
    if (!Files.isDirectory(out)) {
      return;
    }
    try (Stream<Path> files = Files.list(out)) {
      Optional<Path> taken =
          files.filter(file -> OTHERS.matcher(file.getFileName().toString()).matches()).findFirst();
      if (taken.isPresent()) {
        throw new FileProblemException(
            Reason.ALREADY_THERE,
            taken.get().toString(),
            "lies in the folder, which holds somebody's takes or sheets",
            "give the demo a folder of its own, for instance " + out.resolve("takewright-demo"));
      }
    }
  }
}
