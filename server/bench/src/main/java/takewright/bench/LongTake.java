package takewright.bench;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.LocalDate;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.retune.Retune;
import takewright.retune.RetuneSettings;
import takewright.testing.Recordings;
import takewright.testing.TakeBuilder;

/** Builds of long takes in a small heap: a take of about a minute, repeated. */
@Command(
    name = "long",
    mixinStandardHelpOptions = true,
    description =
        "Builds takes of growing length in a small heap and says time and memory. A stereo take of"
            + " two hours at 96 kHz needs 10 GB on the disk while it runs.")
final class LongTake implements Callable<Integer> {
  @Option(
      names = "--minutes",
      paramLabel = "MINUTES",
      split = ",",
      defaultValue = "1,10,60",
      description = "Lengths. Default: ${DEFAULT-VALUE}.")
  private List<Integer> minutes;

  @Option(names = "--rate", defaultValue = "96000", description = "Default: ${DEFAULT-VALUE} Hz.")
  private int rate;

  @Option(
      names = "--bit-depth",
      defaultValue = "24",
      description = "Of take and samples. Default: ${DEFAULT-VALUE}.")
  private int bitDepth;

  @Option(
      names = "--heap",
      defaultValue = "512",
      description = "Heap of the build, in MiB. Default: ${DEFAULT-VALUE}.")
  private int heapMb;

  @Option(
      names = "--folder",
      description = "Where to work. Default: the system's temporary folder.")
  private Path where;

  @Option(
      names = "--into",
      paramLabel = "FILE",
      description = "A Markdown file, such as RESULTS.md, whose section of this table it replaces.")
  private Path into;

  @Option(names = "--markdown", description = "Table as Markdown.")
  private boolean markdown;

  @Override
  public Integer call() throws Exception {
    if (Takes.recordings() == null) {
      throw new IllegalArgumentException(
          "the recordings are needed: run ./takewright test once, which fetches them");
    }
    Path folder =
        where == null
            ? Files.createTempDirectory("takewright-long-")
            : Files.createTempDirectory(where, "takewright-long-");
    Table table =
        new Table(
            "Long takes",
            "minutes",
            "file",
            "GB",
            "wall clock, s",
            "processor time, s",
            "processor s per minute",
            "peak MiB",
            "samples");
    try {
      Clip once = minute();
      for (int length : minutes) {
        table.row(build(once, length, folder.resolve("take" + length)));
        System.err.println(length + " minutes done");
      }
    } finally {
      Takes.delete(folder);
    }
    PrintStream out = new PrintStream(System.out, true, StandardCharsets.UTF_8);
    String note =
        String.format(
            Locale.ROOT,
            "%nStereo takes of %d Hz and %d bits, built in a heap of %d MiB. Measured on %s by"
                + " `./takewright bench long --minutes %s`; Java %s, %d cores.%n",
            rate,
            bitDepth,
            heapMb,
            LocalDate.now(ZoneOffset.UTC),
            String.join(",", minutes.stream().map(String::valueOf).toList()),
            System.getProperty("java.version"),
            Runtime.getRuntime().availableProcessors());
    out.println(table.render(markdown) + note);
    if (into != null) {
      Results.put(into, table.render(true) + note);
    }
    return 0;
  }

  private static final List<String> NOTES = List.of("A3", "C4", "E4", "G4", "A4", "C5", "E5", "G5");

  /** A minute of violin, to the frame. */
  private Clip minute() throws IOException {
    TakeBuilder take = new TakeBuilder(rate, 11);
    take.pause(2);
    for (Recordings.Note note : Recordings.in(Takes.recordings().resolve("violin"))) {
      if (NOTES.contains(note.name())) {
        Clip clip = Retune.apply(note.read(4), new RetuneSettings(0, rate));
        take.sound("note", note.midi(), TakeBuilder.faded(clip), -12, -62).pause(1.5);
      }
    }
    if (take.length() > 60 * rate) {
      throw new IOException("the notes do not fit into a minute");
    }
    take.pause((60.0 * rate - take.length()) / rate);
    return take.build(-62).slice(0, 60 * rate);
  }

  private String[] build(Clip once, int length, Path folder) throws Exception {
    Files.createDirectories(folder);
    Path take = folder.resolve("take.wav");
    float[] left = once.channel(0);
    try (WavWriter writer = WavWriter.create(take, rate, 2, bitDepth, WavChunks.NONE)) {
      for (int i = 0; i < length; i++) {
        writer.append(new float[][] {left, left}, 0, left.length);
      }
      writer.commit();
    }
    Path sheet =
        Files.writeString(
            folder.resolve("sheet.yaml"),
            "library: Long\noutput: {sample_rate: "
                + rate
                + ", bit_depth: "
                + bitDepth
                + "}\ntakes:\n  - file: take.wav\n    articulation: sustain\n    kind: pitched\n"
                + "    notes: "
                + NOTES
                + "\n    dynamics: [f]\n    round_robins: "
                + length
                + "\n    order: [rr, note, dynamic]\n");
    Path library = folder.resolve("library");
    List<String> command = new ArrayList<>(Program.own(List.of("-Xmx" + heapMb + "m"), "work"));
    command.addAll(List.of("once", sheet.toString(), library.toString()));
    Program.Took took = Program.run(command);
    String container;
    try (AudioFile file = AudioFile.open(take)) {
      container = file.container();
    }
    String[] row = {
      Integer.toString(length),
      container,
      Table.figure(Files.size(take) / 1e9),
      Table.figure(took.wallS()),
      Table.figure(took.cpuS()),
      Table.figure(took.cpuS() / length),
      Table.figure(took.peakMb()),
      took.out().strip()
    };
    Takes.delete(folder);
    return row;
  }
}
