package takewright.cli;

import java.io.IOException;
import java.nio.file.Path;
import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import picocli.CommandLine.ITypeConverter;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.ParentCommand;
import takewright.cli.connect.Connection;
import takewright.cli.option.LocalFiles;
import takewright.cli.option.PartOption;
import takewright.cli.show.Sets;
import takewright.v1.BuildPart;
import takewright.v1.StartBuildRequest;

@Command(
    name = "build",
    mixinStandardHelpOptions = true,
    description = "Builds a library from a sheet; continues where it was interrupted.")
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
      description = "The folder to write to; created if it does not exist.")
  @Sets("output_folder")
  private Path out;

  @Option(
      names = "--decisions",
      paramLabel = "FILE",
      description =
          "Corrections of single regions that hold over the sheet, as the report's page writes"
              + " them. Default: decisions.yaml in DIR, if the page has saved some there.")
  @Sets("decisions_file")
  private Path decisions;

  @Option(
      names = "--only",
      paramLabel = "CELLS",
      description =
          "Makes the samples of these cells alone, such as \"tremolo G3..C4 f rr2, tap\"; all others"
              + " stay as the last build left them.")
  @Sets("only")
  private String only;

  @Option(
      names = "--part",
      paramLabel = "I/N",
      converter = PartOption.class,
      description =
          "Makes one of N parts, beside the others on other machines that see the same folders: the"
              + " samples of whole articulations. A build without this option finishes the library.")
  @Sets("part")
  private BuildPart part;

  @Option(
      names = "--as-written",
      description =
          "Builds as the sheet says even where what is heard fits another plan much better, such as"
              + " one of another octave. Default: such a build stops with status 2.")
  private boolean asWritten;

  @Option(
      names = "--markers",
      paramLabel = "FOLDER",
      arity = "0..1",
      fallbackValue = "",
      converter = MarkersFolder.class,
      description =
          "Also writes copies of all takes whose regions are markers, for an editor, into FOLDER."
              + " Default without a FOLDER: DIR-markers, beside the library.")
  @Sets("markers_folder")
  private Path markers;

  /** An empty path where no folder is given. */
  private static final class MarkersFolder implements ITypeConverter<Path> {
    @Override
    public Path convert(String text) {
      return text.isEmpty() ? Path.of("") : Main.path(text);
    }
  }

  @Option(
      names = "--all-sounds",
      description =
          "Keeps sounds of all samples for the report on the disk, 0.35 MB for each second of a"
              + " sample. Default: only of flagged samples.")
  private boolean allSounds;

  @Option(
      names = "--with-pictures",
      description =
          "Ends only when the pictures of the report are drawn too, for a script that copies DIR."
              + " Default: a running service draws them within seconds after the command has ended;"
              + " a build in the command's own process, as with --local, draws them before.")
  private boolean withPictures;

  @Option(
      names = "--watch",
      description =
          "Prints at once where to open the report in a browser, which shows the progress while"
              + " the build runs. Afterwards the page stays open, and what you decide there or save in"
              + " the sheet is built at once, until Enter is pressed or the input ends.")
  private boolean watch;

  @Option(
      names = "--strict",
      description = "Exit with status 1 if there are missing cells, flagged samples or warnings.")
  private boolean strict;

  @Option(
      names = "--json",
      description =
          "Prints the result as one line of JSON, as the service answers it, instead of sentences.")
  private boolean json;

  @Override
  public Integer call() throws IOException {
    try (Connection.OpenConnection session = connection.open()) {
      StartBuildRequest.Builder request = LibraryBuild.request(sheet, out);
      request.setAllSounds(allSounds).setAsWritten(asWritten);
      if (decisions != null) {
        request.setDecisionsFile(LocalFiles.absolute(decisions));
      }
      if (markers != null) {
        Path beside = Path.of(LocalFiles.absolute(out)).normalize();
        request.setMarkersFolder(
            markers.toString().isEmpty() ? beside + "-markers" : LocalFiles.absolute(markers));
      }
      if (only != null) {
        request.setOnly(only);
      }
      if (part != null) {
        request.setPart(part);
      }
      if (part == null && only == null) {
        try (Connection.EachConnection services = connection.openEach();
            SharedBuild shared = new SharedBuild(main, services.channels())) {
          shared.makeParts(request.build());
        }
      }
      return LibraryBuild.run(
          main,
          session,
          request.build(),
          new LibraryBuild.Manner(watch, withPictures, strict, json));
    }
  }
}
