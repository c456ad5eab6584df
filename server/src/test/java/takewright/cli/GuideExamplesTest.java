package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Random;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import javax.sound.midi.MidiEvent;
import javax.sound.midi.MidiSystem;
import javax.sound.midi.Sequence;
import javax.sound.midi.ShortMessage;
import javax.sound.midi.Track;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import picocli.CommandLine;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;

/** Command lines and sheets of the guides, run and read as they stand there. */
class GuideExamplesTest {
  private static final int RATE = 48_000;
  private static final Path ROOT = Path.of("..").toAbsolutePath().normalize();

  /** They run until they are stopped, or start Maven: their options are only read. */
  private static final Set<String> NOT_RUN = Set.of("serve", "bench", "test", "dist", "demo");

  @TempDir Path folder;

  @Test
  void everySheetIsRight() throws Exception {
    List<String> sheets = new ArrayList<>(sheets("README.md"));
    sheets.addAll(sheets("server/SHEET.md"));
    assertEquals(2, sheets.size());
    for (String sheet : sheets) {
      Path file = folder.toRealPath().resolve("sheet.yaml");
      Files.writeString(file, sheet);
      Ran ran = run(List.of("check", file.toString()));
      // Its takes do not exist, and nothing else is wrong.
      List<String> problems =
          ran.out
              .lines()
              .filter(line -> line.contains(": error:") || line.contains(": warning:"))
              .toList();
      assertFalse(problems.isEmpty());
      for (String problem : problems) {
        assertTrue(problem.contains("does not exist"), problem);
      }
    }
  }

  @Test
  void everyCommandLineOfTheReadmeRuns() throws Exception {
    folder = folder.toRealPath();
    makeASession();
    List<String> lines = commandLines("README.md");
    Set<String> seen = new LinkedHashSet<>();
    for (String line : lines) {
      List<String> words = words(line);
      seen.add(words.get(0));
      if (NOT_RUN.contains(words.get(0))) {
        parse(words);
        continue;
      }
      Ran ran = run(words);
      assertTrue(ran.status == 0 || words.contains("--strict") && ran.status == 1, line + ran.err);
      assertFalse(ran.out.isBlank() && !writesAFile(words), line + " prints nothing");
    }
    assertTrue(
        seen.containsAll(
            Set.of(
                "demo", "check", "build", "follow", "segment", "analyse", "denoise", "retune",
                "layer", "name", "audit", "render", "serve", "bench")),
        "named in the README: " + seen);
    for (String written :
        List.of("clean.wav", "noise.wav", "a-tuned.wav", "a-hall.wav", "phrase.wav", "proof.wav")) {
      assertTrue(Files.size(folder.resolve(written)) > 1000, written);
    }
    assertTrue(Files.exists(folder.resolve("larkfell/report/index.html")));
  }

  @Test
  void everyOptionOfTheOperatorsGuideIsKnown() throws IOException {
    List<String> lines = commandLines("server/OPERATING.md");
    assertTrue(lines.size() >= 3);
    for (String line : lines) {
      parse(words(line));
    }
  }

  private static boolean writesAFile(List<String> words) {
    return Set.of("denoise", "retune", "layer").contains(words.get(0));
  }

  /** The blocks of a guide that are sheets. */
  private static List<String> sheets(String guide) throws IOException {
    List<String> sheets = new ArrayList<>();
    StringBuilder block = new StringBuilder();
    for (String line : (Files.readString(ROOT.resolve(guide)) + "\n.").lines().toList()) {
      if (line.startsWith("    ")) {
        block.append(line.substring(4)).append('\n');
      } else {
        if (block.toString().startsWith("library:")) {
          sheets.add(block.toString());
        }
        block.setLength(0);
      }
    }
    return sheets;
  }

  /**
   * What follows {@code ./takewright}, in backticks or in an indented block, up to the shell's own.
   */
  private static List<String> commandLines(String guide) throws IOException {
    Pattern line =
        Pattern.compile(
            "`\\./takewright ([^`]+)`|^ {4}.*?\\./takewright ([^|>#\n]+)", Pattern.MULTILINE);
    List<String> lines = new ArrayList<>();
    Matcher found = line.matcher(Files.readString(ROOT.resolve(guide)));
    while (found.find()) {
      String text = (found.group(1) == null ? found.group(2) : found.group(1)).strip();
      if (!text.startsWith("COMMAND") && !text.startsWith("--help")) {
        lines.add(text);
      }
    }
    return lines;
  }

  /** The words of a command line: quotes are taken off, and the wildcard of samples filled in. */
  private List<String> words(String line) throws IOException {
    List<String> words = new ArrayList<>();
    Matcher word = Pattern.compile("\"([^\"]*)\"|(\\S+)").matcher(line);
    while (word.find()) {
      String text = word.group(1) == null ? word.group(2) : word.group(1);
      if (text.equals("samples/*.wav")) {
        try (Stream<Path> files = Files.list(folder.resolve("samples"))) {
          files.sorted().map(Path::toString).forEach(words::add);
        }
      } else {
        words.add(isAFile(text) ? folder.resolve(text).toString() : text);
      }
    }
    return words;
  }

  /**
   * Whether a word is a path in the folder of the examples; names of takes in the sheet are none.
   */
  private boolean isAFile(String word) {
    return word.matches("[a-z-]+\\.(wav|yaml|mid|csv)") || word.matches("larkfell|samples");
  }

  private static void parse(List<String> words) {
    Object command =
        switch (words.get(0)) {
          case "serve" -> new ServeCommand();
          case "demo" -> new DemoCommand();
          case "follow" -> new FollowCommand();
          case "segment" -> new SegmentCommand();
          case "build" -> new BuildCommand();
          default -> null;
        };
    if (command != null) {
      new CommandLine(command)
          .setCaseInsensitiveEnumValuesAllowed(true)
          .parseArgs(words.subList(1, words.size()).toArray(String[]::new));
    }
  }

  private record Ran(int status, String out, String err) {}

  private Ran run(List<String> words) {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    ByteArrayOutputStream err = new ByteArrayOutputStream();
    List<String> args = new ArrayList<>(words);
    int take = args.indexOf("--take");
    if (take >= 0) {
      // The take's name in the sheet, and no file.
      args.set(take + 1, Path.of(args.get(take + 1)).getFileName().toString());
    }
    InputStream in = System.in;
    try {
      System.setIn(new ByteArrayInputStream(new byte[6 * RATE]));
      int status =
          Main.run(
              new PrintStream(out, true, StandardCharsets.UTF_8),
              new PrintStream(err, true, StandardCharsets.UTF_8),
              args.toArray(String[]::new));
      return new Ran(
          status, out.toString(StandardCharsets.UTF_8), err.toString(StandardCharsets.UTF_8));
    } finally {
      System.setIn(in);
    }
  }

  /** What the README's examples are about: a sheet, its takes, and some single files. */
  private void makeASession() throws Exception {
    String sheet = sheets("README.md").get(0);
    assertTrue(sheet.contains("notes: G3..A5"));
    // Three notes are enough to see that it works.
    Files.writeString(folder.resolve("larkfell.yaml"), sheet.replace("G3..A5", "G3..A3"));
    List<Integer> notes = new ArrayList<>();
    for (int midi = 55; midi <= 57; midi++) {
      notes.addAll(List.of(midi, midi, midi, midi));
    }
    write("tremolo.wav", take(notes, 0.9));
    List<Integer> taps = new ArrayList<>();
    for (int i = 0; i < 12; i++) {
      taps.add(-1);
    }
    write("taps.wav", take(taps, 0.3));
    for (String name : List.of("a.wav", "b.wav", "noisy.wav", "samples/D4.wav", "samples/E4.wav")) {
      write(name, take(List.of(name.contains("E4") ? 64 : 62), 1.5));
    }
    float[] response = new float[RATE / 4];
    Random random = new Random(3);
    for (int i = 0; i < response.length; i++) {
      response[i] = (float) (0.3 * random.nextGaussian() * Math.exp(-12.0 * i / response.length));
    }
    write("ir/hall.wav", response);
    write("hall.wav", response);
    Sequence sequence = new Sequence(Sequence.PPQ, 480);
    Track track = sequence.createTrack();
    track.add(new MidiEvent(new ShortMessage(ShortMessage.NOTE_ON, 0, 57, 80), 0));
    track.add(new MidiEvent(new ShortMessage(ShortMessage.NOTE_OFF, 0, 57, 0), 480));
    MidiSystem.write(sequence, 0, folder.resolve("phrase.mid").toFile());
  }

  private void write(String name, float[] samples) throws IOException {
    Path file = folder.resolve(name);
    Files.createDirectories(file.getParent());
    WavWriter.write(file, Clip.of(RATE, samples), 24, WavChunks.NONE);
  }

  /** Notes of six partials, or taps (-1), in a quiet room; every other pair is softer. */
  private static float[] take(List<Integer> notes, double seconds) {
    int pause = RATE;
    int length = (int) (seconds * RATE);
    float[] take = new float[pause + notes.size() * (length + pause)];
    Random random = new Random(11);
    for (int i = 0; i < take.length; i++) {
      take[i] = (float) (2e-4 * random.nextGaussian());
    }
    for (int n = 0; n < notes.size(); n++) {
      int start = pause + n * (length + pause);
      double loud = n % 4 < 2 && notes.size() > 12 ? 0.05 : 0.15;
      for (int i = 0; i < length; i++) {
        double shape = Math.min(1, i / 0.02 / RATE) * Math.min(1, (length - i) / 0.1 / RATE);
        double sound = 0;
        if (notes.get(n) < 0) {
          sound = random.nextGaussian() * Math.exp(-i / 0.03 / RATE);
        } else {
          double hz = 440 * Math.pow(2, (notes.get(n) - 69) / 12.0);
          for (int k = 1; k <= 6; k++) {
            sound += Math.sin(2 * Math.PI * k * hz * i / RATE) / k;
          }
        }
        take[start + i] += (float) (loud * shape * sound);
      }
    }
    return take;
  }
}
