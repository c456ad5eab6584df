package takewright.cli;

import java.io.IOException;
import java.nio.file.Path;
import java.util.Locale;
import java.util.concurrent.Callable;
import java.util.stream.Stream;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.ParentCommand;
import takewright.cli.connect.Connection;
import takewright.cli.option.LocalFiles;
import takewright.cli.show.Sets;
import takewright.cli.show.Texts;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.RanOutNote;
import takewright.v1.RenderRequest;
import takewright.v1.RenderResponse;
import takewright.v1.UnplayedNote;

@Command(
    name = "render",
    mixinStandardHelpOptions = true,
    description = {
      "Plays a phrase through the finished samples of a build and writes a WAV" + " file.",
      "Without --midi and --notes it plays short notes over the whole range, one note at every"
          + " dynamic, and held notes where the samples have loops."
    })
final class RenderCommand implements Callable<Integer> {
  /** Notes that could not be played are listed up to this number, then counted. */
  private static final int MAX_LINES = 20;

  @ParentCommand private Main main;
  @Mixin private Connection connection;

  @Parameters(index = "0", paramLabel = "DIR", description = "The output folder of a build.")
  @Sets("folder")
  private Path folder;

  @Parameters(index = "1", paramLabel = "OUT", description = "The WAV file to write.")
  @Sets("output_file")
  private Path out;

  @ArgGroup private ScoreOptions played;

  /** One of the two. */
  static final class ScoreOptions {
    @Option(
        names = "--midi",
        paramLabel = "FILE",
        description = "Plays a Standard MIDI File: notes and sustain pedal of all its channels.")
    @Sets("midi_file")
    private Path midi;

    @Option(
        names = "--notes",
        paramLabel = "NOTES",
        description =
            "Plays these notes, for instance \"C4 E4:0.5@80 67\": note, seconds, velocity. Names are"
                + " those of the library (its middle_c), numbers those of MIDI.")
    private String notes;
  }

  @Option(
      names = "--articulation",
      paramLabel = "NAME",
      description = "The articulation to play. Default: the first of the map.")
  private String articulation = "";

  @Option(
      names = "--layer",
      paramLabel = "NAME",
      description = "The layer to play. Default: the first of the articulation.")
  private String layer = "";

  @Option(names = "--replace", description = "Replaces an existing file.")
  private boolean replace;

  @Option(
      names = "--strict",
      description = "Exit with status 1 if a note could not be played or ran out.")
  private boolean strict;

  @Override
  public Integer call() throws IOException {
    RenderRequest.Builder request =
        RenderRequest.newBuilder()
            .setFolder(LocalFiles.absolute(folder))
            .setOutputFile(LocalFiles.absolute(out))
            .setReplace(replace)
            .setArticulation(articulation)
            .setLayer(layer);
    if (played != null && played.midi != null) {
      request.setMidiFile(LocalFiles.absolute(played.midi));
    } else if (played != null) {
      request.setNotes(played.notes);
    }
    RenderResponse answer;
    try (Connection.OpenConnection session = connection.open()) {
      answer = LibraryServiceGrpc.newBlockingStub(session.channel()).render(request.build());
    }
    complain(answer);
    main.out.println(
        String.format(
            Locale.ROOT,
            "%s: %d of %s played, %s, %s, %s, peak %.1f dBFS",
            out,
            answer.getNotes() - answer.getNotPlayed(),
            Texts.count(answer.getNotes(), "note", "notes"),
            answer.getArticulation(),
            answer.getLayer(),
            Texts.duration(answer.getDurationS()),
            answer.getPeakDbfs()));
    main.out.println(
        "Before you listen: turn the level down, then raise it slowly; loud sound"
            + " harms ears.");
    return strict && answer.getNotPlayed() + answer.getNotesRanOut() > 0
        ? Main.NEEDS_A_LOOK
        : Main.DONE;
  }

  /** Says which notes could not be played, and which were held for longer than their samples. */
  private void complain(RenderResponse answer) {
    list(
        answer.getUnplayedList().stream().map(RenderCommand::line),
        answer.getNotPlayed(),
        "not played");
    list(
        answer.getRanOutList().stream().map(RenderCommand::line),
        answer.getNotesRanOut(),
        "ran out");
  }

  /** Prints the first lines, and how many notes more there are. */
  private void list(Stream<String> lines, int notes, String what) {
    lines.limit(MAX_LINES).forEach(main.err::println);
    if (notes > MAX_LINES) {
      main.err.println(what + ": " + (notes - MAX_LINES) + " more notes");
    }
  }

  private static String line(UnplayedNote note) {
    return String.format(
        Locale.ROOT,
        "not played: %s (MIDI note %d) at %.2f s, velocity %d: no sample is near enough",
        note.getNote(),
        note.getMidi(),
        note.getStartS(),
        note.getVelocity());
  }

  private static String line(RanOutNote note) {
    return String.format(
        Locale.ROOT,
        "ran out: %s at %.2f s sounded for %.2f of %.2f s: its sample has no loop",
        note.getNote(),
        note.getStartS(),
        note.getSoundedS(),
        note.getLengthS());
  }
}
