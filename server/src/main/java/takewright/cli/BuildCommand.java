package takewright.cli;

import java.io.IOException;
import java.nio.file.Path;
import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.ParentCommand;

@Command(
    name = "build",
    mixinStandardHelpOptions = true,
    description = "Builds a library from a sheet; goes on where it was interrupted.")
final class BuildCommand implements Callable<Integer> {
  @ParentCommand private Main main;
  @Mixin private Connection connection;

  @Parameters(paramLabel = "SHEET", description = "The sheet of the library (YAML).")
  @Sets("sheet_file")
  private Path sheet;

  @Option(
      names = "--out",
      required = true,
      paramLabel = "DIR",
      description = "The folder to write to; made where it is missing.")
  @Sets("output_folder")
  private Path out;

  @Option(
      names = "--all-sounds",
      description =
          "Keeps sounds of all samples for the report page, 0.25 MB for each second of a sample;"
              + " else only of flagged ones.")
  private boolean allSounds;

  @Option(
      names = "--watch",
      description =
          "Says at once where the report page can be opened in a browser: it follows along while"
              + " the build runs.")
  private boolean watch;

  @Option(
      names = "--strict",
      description =
          "Exit with status 1 where cells are missing, samples flagged or there are warnings.")
  private boolean strict;

  @Override
  public Integer call() throws IOException {
    try (Connection.Session session = connection.open()) {
      return LibraryBuild.run(main, session, sheet, out, allSounds, watch, strict);
    }
  }
}
