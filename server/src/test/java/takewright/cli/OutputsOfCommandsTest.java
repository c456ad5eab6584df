package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTimeoutPreemptively;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;
import picocli.CommandLine;
import picocli.CommandLine.Model.ArgSpec;
import picocli.CommandLine.Model.OptionSpec;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.testing.Foreign;
import takewright.testing.TakeBuilder;

/**
 * No command writes over what Takewright did not write: every option and parameter that names an
 * output is given a take, a sheet, some other file, and links to them.
 */
class OutputsOfCommandsTest {
  private static final int RATE = 16_000;

  /** Stands for the output in a command line. */
  private static final String OUT = "{out}";

  @TempDir static Path folder;

  /** Options and parameters of paths that are only read. */
  private static final Set<String> READ =
      Set.of(
          "build SHEET",
          "build --decisions",
          "check SHEET",
          "follow SHEET",
          "follow FILE",
          "segment FILE",
          "analyse FILE",
          "denoise IN",
          "retune IN",
          "layer IN",
          "layer --impulse",
          "audit DIR",
          "audit --undo",
          "render DIR",
          "render --midi",
          "serve --allow",
          "serve --tls-cert",
          "serve --tls-key",
          "serve --tls-client-ca");

  /** Those of every command that calls a service. */
  private static final Set<String> READ_BY_ALL =
      Set.of("--token-file", "--tls-ca", "--tls-cert", "--tls-key");

  /** A line for each that names a file to write. */
  private static final Map<String, String> FILES = new LinkedHashMap<>();

  /** A line for each that names a folder to write to. */
  private static final Map<String, String> FOLDERS = new LinkedHashMap<>();

  @BeforeAll
  static void session() throws IOException {
    folder = folder.toRealPath();
    WavWriter.write(folder.resolve("note.wav"), note(), 24, WavChunks.NONE);
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(1);
    take.sound("note", 57, note().channel(0), -12, -62).pause(1);
    WavWriter.write(folder.resolve("played.wav"), take.build(-62), 24, WavChunks.NONE);
    Path samples = Files.createDirectory(folder.resolve("samples"));
    Files.copy(folder.resolve("note.wav"), samples.resolve("a_C4.wav"));
    Files.writeString(
        folder.resolve("plan.yaml"),
        "library: Wickmere\ntakes:\n"
            + "  - {file: played.wav, articulation: tap, notes: [A3], dynamics: [f]}\n");
    Files.writeString(
        folder.resolve("undo.csv"),
        "from,to,via\na_C4.wav,a_D4.wav,.takewright-rename-0-a_C4.wav\n");
    FILES.put("segment --markers", "segment note.wav --replace --markers " + OUT);
    FILES.put("segment --picture", "segment note.wav --picture " + OUT);
    FILES.put("analyse --picture", "analyse note.wav --picture " + OUT);
    FILES.put("denoise OUT", "denoise note.wav --replace " + OUT);
    FILES.put("denoise --removed", "denoise note.wav clean.wav --replace --removed " + OUT);
    FILES.put("retune OUT", "retune note.wav --cents 3 --replace " + OUT);
    FILES.put("layer OUT", "layer note.wav --room 5x4x3 --replace " + OUT);
    FILES.put("audit --plan", "audit samples --fix-names --plan " + OUT);
    FILES.put("render OUT", "render samples --notes C4 --replace " + OUT);
    FILES.put("follow --decisions", "follow plan.yaml played.wav --decisions " + OUT);
    FILES.put("serve --token-file", "serve --port 0 --token-file " + OUT);
    FOLDERS.put("build --out", "build plan.yaml --out " + OUT);
    FOLDERS.put("build --markers", "build plan.yaml --out library --markers " + OUT);
    FOLDERS.put("demo --out", "demo --out " + OUT);
    FOLDERS.put("serve --state", "serve --port 0 --token-file t/token --state " + OUT);
  }

  private static Clip note() {
    float[] samples = new float[RATE];
    for (int i = 0; i < samples.length; i++) {
      double fade = Math.min(1, Math.min(i / 200.0, (samples.length - i) / 2000.0));
      for (int k = 1; k < 6; k++) {
        samples[i] += (float) (0.2 * fade * Math.sin(2 * Math.PI * k * 220 * i / RATE) / k);
      }
    }
    return Clip.of(RATE, samples);
  }

  /** A new option that names a path is tried here, too, or only read. */
  @Test
  void everyPathOfEveryCommandIsKnown() {
    PrintStream nowhere = new PrintStream(OutputStream.nullOutputStream(), false);
    Set<String> paths = new TreeSet<>();
    for (Map.Entry<String, CommandLine> command :
        Main.commands(nowhere, nowhere).getSubcommands().entrySet()) {
      boolean calls = !Set.of("serve", "warm-up").contains(command.getKey());
      for (ArgSpec arg : command.getValue().getCommandSpec().args()) {
        String label = arg.paramLabel();
        String name = arg instanceof OptionSpec option ? option.longestName() : label;
        boolean isPath =
            Path.class.equals(arg.isMultiValue() ? arg.auxiliaryTypes()[0] : arg.type());
        assertTrue(
            isPath || !label.matches(".*(FILE|DIR|OUT|PATH|FOLDER).*"),
            () -> command.getKey() + " " + name + " names a file, and is no Path");
        if (isPath && !(calls && READ_BY_ALL.contains(name))) {
          paths.add(command.getKey() + " " + name);
        }
      }
    }
    Set<String> known = new TreeSet<>(READ);
    known.addAll(FILES.keySet());
    known.addAll(FOLDERS.keySet());
    assertEquals(known, paths);
  }

  static Stream<String> files() {
    return Stream.of(
        "segment --markers",
        "segment --picture",
        "analyse --picture",
        "denoise OUT",
        "denoise --removed",
        "retune OUT",
        "layer OUT",
        "audit --plan",
        "render OUT",
        "follow --decisions",
        "serve --token-file");
  }

  @ParameterizedTest
  @MethodSource("files")
  void noFileIsWrittenOver(String option) throws IOException {
    Map<Path, byte[]> originals = originals(option.endsWith("--picture") ? ".png" : "");
    for (Map.Entry<Path, byte[]> original : originals.entrySet()) {
      refused(FILES.get(option), original.getKey());
      assertUntouched(originals);
    }
  }

  static Stream<String> folders() {
    return Stream.of("build --out", "build --markers", "demo --out", "serve --state");
  }

  /** A file that is named where a folder is wanted is no folder, and stays. */
  @ParameterizedTest
  @MethodSource("folders")
  void noFolderTakesTheNameOfAFile(String option) throws IOException {
    Map<Path, byte[]> originals = originals("");
    for (Path original : originals.keySet()) {
      refused(FOLDERS.get(option), original);
      assertUntouched(originals);
    }
  }

  /** Files that have the names of a build's own stop it. */
  @Test
  void aBuildLeavesWhatIsInItsFolder() throws IOException {
    for (String name : List.of("index.csv", "Wickmere_tap_close_A3_f_rr1.wav", "map.csv")) {
      Path out = Files.createTempDirectory(folder, "out");
      Files.writeString(out.resolve(name), "dear player\n");
      assertTrue(refused(FOLDERS.get("build --out"), out).contains(name));
      assertEquals("dear player\n", Files.readString(out.resolve(name)));
    }
  }

  /** What is made does not land among the takes, and the line says where to put it. */
  @Test
  void theFolderOfTheTakesIsRefused() throws IOException {
    Path takes = Files.createTempDirectory(folder, "takes");
    Foreign.wav(takes.resolve("played.wav"), note());
    Files.copy(folder.resolve("plan.yaml"), takes.resolve("plan.yaml"));
    for (String line :
        List.of("build " + takes.resolve("plan.yaml") + " --out " + OUT, "demo --out " + OUT)) {
      assertTrue(refused(line, takes).contains("folder of its own"), line);
      try (Stream<Path> there = Files.list(takes)) {
        assertEquals(2, there.count(), line);
      }
    }
  }

  /** Names that the audit makes by itself, beside the folder or the file that is given. */
  @Test
  void anAuditLeavesFilesThatHaveTheNamesOfItsOwn() throws IOException {
    for (String[] nameAndLine :
        new String[][] {
          {"samples-renames.csv", "audit samples --fix-names"},
          {"undo-redo.csv", "audit samples --undo undo.csv"}
        }) {
      Path file = Files.writeString(folder.resolve(nameAndLine[0]), "dear player\n");
      assertTrue(refused(nameAndLine[1], file).contains(nameAndLine[0]));
      assertEquals("dear player\n", Files.readString(file));
      Files.delete(file);
    }
    assertTrue(Files.exists(folder.resolve("samples/a_C4.wav")), "nothing was renamed");
  }

  /** A copy with markers that is not Takewright's own stays, with a warning. */
  @Test
  void markersLeaveTheFilesOfOthers() throws IOException {
    Path markers = Files.createTempDirectory(folder, "markers");
    Path mine = markers.resolve("played.wav");
    Foreign.wav(mine, note());
    byte[] before = Files.readAllBytes(mine);
    Ran ran = run(FOLDERS.get("build --markers"), markers);
    assertEquals(0, ran.status, ran.err);
    assertTrue(ran.err.contains("stays as it is"), ran.err);
    assertArrayEquals(before, Files.readAllBytes(mine));
  }

  /** What is left of old sessions is removed, and nothing else. */
  @Test
  void theFolderOfSessionsKeepsTheFilesOfOthers() throws IOException {
    Path state = Files.createTempDirectory(folder, "state");
    Path mine = Files.writeString(state.resolve("monday.session"), "dear player\n");
    Path old = Files.writeString(state.resolve("0".repeat(32) + ".session"), "{}\n");
    for (Path file : List.of(mine, old)) {
      Files.setLastModifiedTime(file, java.nio.file.attribute.FileTime.fromMillis(1_000_000_000L));
    }
    new takewright.service.session.SessionStore(state).close();
    assertTrue(Files.exists(mine));
    assertFalse(Files.exists(old));
  }

  /** A take, a sheet, a letter, and links to them. */
  private static Map<Path, byte[]> originals(String ending) throws IOException {
    Path originals = Files.createTempDirectory(folder, "originals");
    Path take = originals.resolve("take" + (ending.isEmpty() ? ".wav" : ending));
    Foreign.wav(take, note());
    Path sheet = originals.resolve("sheet" + (ending.isEmpty() ? ".yaml" : ending));
    Files.copy(folder.resolve("plan.yaml"), sheet);
    Path letter =
        Files.writeString(
            originals.resolve("letter" + (ending.isEmpty() ? ".txt" : ending)), "dear player\n");
    Map<Path, byte[]> all = new LinkedHashMap<>();
    for (Path file : List.of(take, sheet, letter)) {
      Path link = originals.resolve("link-to-" + file.getFileName());
      Files.createSymbolicLink(link, file);
      all.put(file, Files.readAllBytes(file));
      all.put(link, Files.readAllBytes(file));
    }
    return all;
  }

  private static void assertUntouched(Map<Path, byte[]> originals) throws IOException {
    for (Map.Entry<Path, byte[]> original : originals.entrySet()) {
      Path file = original.getKey();
      assertArrayEquals(original.getValue(), Files.readAllBytes(file), file.toString());
      boolean wasLink = file.getFileName().toString().startsWith("link");
      assertEquals(wasLink, Files.isSymbolicLink(file), file.toString());
    }
    try (Stream<Path> there = Files.list(originals.keySet().iterator().next().getParent())) {
      assertEquals(originals.size(), there.count(), "nothing is left beside them");
    }
  }

  private record Ran(int status, String err) {}

  private static String refused(String line, Path out) {
    Ran ran = run(line, out);
    assertEquals(2, ran.status, line + " " + out + ": " + ran.err);
    assertEquals(1, ran.err.lines().count(), ran.err);
    assertFalse(ran.err.contains("Exception"), ran.err);
    return ran.err;
  }

  /** Runs a command; its words that are files of the session are made whole paths. */
  private static Ran run(String line, Path out) {
    List<String> words = new ArrayList<>();
    for (String word : line.split(" ")) {
      boolean isFile = word.matches("[a-z]+\\.(wav|yaml|csv)|samples|library|t/token");
      words.add(
          word.equals(OUT) ? out.toString() : isFile ? folder.resolve(word).toString() : word);
    }
    if (!words.get(0).equals("serve")) {
      words.add("--local");
    }
    ByteArrayOutputStream err = new ByteArrayOutputStream();
    int status =
        assertTimeoutPreemptively(
            Duration.ofSeconds(120),
            () ->
                Main.run(
                    new PrintStream(OutputStream.nullOutputStream(), false),
                    new PrintStream(err, true, StandardCharsets.UTF_8),
                    words.toArray(String[]::new)),
            words.toString());
    return new Ran(status, err.toString(StandardCharsets.UTF_8));
  }
}
