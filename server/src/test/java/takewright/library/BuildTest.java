package takewright.library;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CancellationException;
import java.util.concurrent.atomic.AtomicInteger;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.AudioFile;
import takewright.audio.BadAudioException;
import takewright.audio.Clip;
import takewright.demo.Demo;
import takewright.diagnosis.FileProblemException;
import takewright.library.folder.IndexCsv;
import takewright.library.folder.IndexRow;
import takewright.sheet.cell.CellStatus;
import takewright.testing.Ear;
import takewright.testing.Job;

/**
 * Builds of the demo session, which is invented and physically modelled and comes with its truth.
 */
class BuildTest {
  @TempDir static Path shared;
  @TempDir Path folder;

  private static Path sheet;
  private static Path undisturbed;

  @BeforeAll
  static void session() throws IOException {
    sheet = Demo.write(shared.resolve("session"));
    undisturbed = shared.resolve("library");
    build(sheet, undisturbed);
  }

  private static BuildResult build(Path sheet, Path out) throws IOException {
    return Build.run(sheet, out, progress -> {}, () -> false);
  }

  private static void assertSame(Path expected, Path actual) throws IOException {
    Map<String, byte[]> a = Job.contents(expected);
    Map<String, byte[]> b = Job.contents(actual);
    assertEquals(a.keySet(), b.keySet());
    for (String name : a.keySet()) {
      assertArrayEquals(a.get(name), b.get(name), name);
    }
  }

  /**
   * The truth table says where each note lies and what it is; nothing is missed, nothing invented.
   */
  @Test
  void theDemoIsBuiltAsItsTruthTableSays() throws IOException {
    List<IndexRow> rows = IndexCsv.read(undisturbed.resolve("index.csv"));
    List<String> wrong = new ArrayList<>();
    for (String line :
        Files.readAllLines(sheet.resolveSibling("session-truth.csv")).stream().skip(1).toList()) {
      String[] truth = line.split(",", -1);
      String expected =
          switch (truth[1]) {
            case "missing" -> "missing";
            case "talk", "knock" -> "rejected";
            default -> truth[9].equals("1") ? "retake" : "kept";
          };
      List<IndexRow> matching =
          rows.stream()
              .filter(r -> r.stretch().take().equals(truth[0]))
              .filter(r -> expected.equals("missing") ? sameCell(r, truth) : overlaps(r, truth))
              .toList();
      if (matching.size() != 1
          || !matching.get(0).status().name().equalsIgnoreCase(expected)
          || expected.equals("kept") && !sameCell(matching.get(0), truth)) {
        wrong.add(line + " gave " + matching);
      }
    }
    assertEquals(List.of(), wrong);
  }

  private static boolean sameCell(IndexRow row, String[] truth) {
    String midi = row.cell().midi() == null ? "" : row.cell().midi().toString();
    boolean dynamic = truth[7].isEmpty() || truth[7].equals(row.cell().dynamic());
    return midi.equals(truth[5]) && dynamic && truth[8].equals(String.valueOf(row.cell().rr()));
  }

  private static boolean overlaps(IndexRow row, String[] truth) {
    return row.stretch().startS() != null
        && row.stretch().startS() < Double.parseDouble(truth[4])
        && row.stretch().endS() > Double.parseDouble(truth[3]);
  }

  /**
   * The stated detune is found and taken away, as NumPy's autocorrelation hears it in the files: by
   * the project's bars, 1 cent in the median and 3 for 95 of 100 (the tests' README).
   */
  @Test
  void samplesAreInTune() throws IOException {
    List<Path> files = new ArrayList<>();
    List<Double> hz = new ArrayList<>();
    for (IndexRow row : IndexCsv.read(undisturbed.resolve("index.csv"))) {
      if (row.status() == CellStatus.KEPT && row.cell().midi() != null) {
        files.add(undisturbed.resolve(row.file()));
        hz.add(440 * Math.pow(2, (row.cell().midi() - 69) / 12.0));
      }
    }
    assertTrue(files.size() >= 15, "only " + files.size());
    double[] cents =
        new Ear(shared).cents(files, hz.stream().mapToDouble(Double::doubleValue).toArray());
    double[] off = Arrays.stream(cents).map(Math::abs).sorted().toArray();
    assertTrue(off[off.length / 2] <= 1, Arrays.toString(off));
    assertTrue(off[(int) Math.ceil(0.95 * off.length) - 1] <= 3, Arrays.toString(off));
  }

  @Test
  void samplesAreCleanerAndBelowFullScaleAndHaveTheirRootNote() throws IOException {
    for (IndexRow row : IndexCsv.read(undisturbed.resolve("index.csv"))) {
      if (row.status() != CellStatus.KEPT) {
        continue;
      }
      assertTrue(row.measures().peakDbtp() <= -1 + 0.05, row.file());
      assertTrue(
          row.measures().floorDbfs().after() < row.measures().floorDbfs().before() - 5, row.file());
      try (AudioFile file = AudioFile.open(undisturbed.resolve(row.file()))) {
        assertEquals(48_000, file.sampleRate());
        assertEquals(24, file.bitDepth());
        if (row.cell().midi() != null) {
          assertEquals(row.cell().midi(), file.chunks().sampler().unityNote());
        }
        Clip clip = Clip.read(file, (int) file.frames());
        assertEquals(0, clip.channel(0)[0], 1e-6, "does not start at silence: " + row.file());
        assertEquals(0, clip.channel(0)[clip.frames() - 1], 1e-6, row.file());
      }
    }
  }

  @Test
  void aSecondBuildMakesNothingAgainAndChangesNothing() throws IOException {
    Path out = folder.resolve("library");
    BuildResult first = build(sheet, out);
    assertEquals(0, first.samplesReused());
    BuildResult second = build(sheet, out);
    assertEquals(first.samples(), second.samplesReused());
    assertSame(undisturbed, out);
  }

  @Test
  void anInterruptedBuildGoesOnToTheSameBytes() throws IOException {
    Path out = folder.resolve("library");
    AtomicInteger written = new AtomicInteger();
    assertThrows(
        CancellationException.class,
        () -> Build.run(sheet, out, p -> written.set(p.samplesDone()), () -> written.get() >= 5));
    assertFalse(Files.exists(out.resolve("index.csv")), "a table of an unfinished build");
    BuildResult rest = build(sheet, out);
    assertTrue(rest.samplesReused() >= 5, "reused " + rest.samplesReused());
    assertTrue(rest.samplesReused() < rest.samples());
    assertSame(undisturbed, out);
  }

  /**
   * As a crash leaves it: a begun sample half there under a temporary name, a journal line cut off.
   */
  @Test
  void whatACrashLeavesIsClearedAndMadeAgain() throws IOException {
    Path out = folder.resolve("library");
    build(sheet, out);
    String name = "Tarnwhit_sustain_close_A3_p_rr1.wav";
    Path journal = out.resolve(".takewright/journal.jsonl");
    List<String> lines = new ArrayList<>(Files.readAllLines(journal));
    lines.removeIf(l -> l.contains(name));
    lines.add(
        "{\"file\":\"" + name + "\",\"recipe\":\"x\",\"size\":-1,\"crc32\":0,\"sample\":null}");
    Files.writeString(journal, String.join("\n", lines) + "\n{\"file\":\"Tarn");
    Files.delete(out.resolve(name)); // files get their names when they are whole
    Files.writeString(out.resolve(name + ".0123abcd.part"), "half a samp");
    build(sheet, out);
    assertSame(undisturbed, out);
  }

  @Test
  void theTakesAreNotTouched() throws IOException {
    Map<String, byte[]> before = Job.contents(sheet.getParent());
    build(sheet, folder.resolve("library"));
    Map<String, byte[]> after = Job.contents(sheet.getParent());
    assertEquals(before.keySet(), after.keySet());
    before.forEach((name, bytes) -> assertArrayEquals(bytes, after.get(name), name));
  }

  @Test
  void aFileThatNoBuildWroteIsNotWrittenOver() throws IOException {
    Path out = Files.createDirectories(folder.resolve("library"));
    Path mine = out.resolve("Tarnwhit_sustain_close_A3_p_rr1.wav");
    Files.writeString(mine, "mine");
    IOException e = assertThrows(IOException.class, () -> build(sheet, out));
    assertTrue(e.getMessage().contains(mine.getFileName().toString()), e.getMessage());
    assertEquals("mine", Files.readString(mine));
    assertFalse(Files.exists(out.resolve("index.csv")));
  }

  @Test
  void aSampleChangedByHandIsNotWrittenOver() throws IOException {
    Path out = folder.resolve("library");
    build(sheet, out);
    Path edited = out.resolve("Tarnwhit_sustain_close_A3_p_rr1.wav");
    Files.writeString(edited, "edited by hand");
    assertThrows(IOException.class, () -> build(sheet, out));
    assertEquals("edited by hand", Files.readString(edited));
  }

  @ParameterizedTest
  @ValueSource(strings = {"index.csv", "map.csv", "README.txt"})
  void aTableChangedByHandIsNotWrittenOver(String name) throws IOException {
    Path out = folder.resolve("library");
    build(sheet, out);
    Path edited = out.resolve(name);
    Files.writeString(edited, "my remark\n", StandardOpenOption.APPEND);
    byte[] mine = Files.readAllBytes(edited);
    AtomicInteger steps = new AtomicInteger();
    FileProblemException refused =
        assertThrows(
            FileProblemException.class,
            () -> Build.run(sheet, out, progress -> steps.incrementAndGet(), () -> false));
    assertEquals(0, steps.get(), "it is said before the first take is read");
    assertEquals(
        edited + ": was changed after it was built; move it away to have it built again",
        refused.getMessage());
    assertArrayEquals(mine, Files.readAllBytes(edited));

    Files.delete(edited);
    build(sheet, out);
    assertArrayEquals(Files.readAllBytes(undisturbed.resolve(name)), Files.readAllBytes(edited));
  }

  @Test
  void aTableThatIsChangedWhileABuildRunsIsNotWrittenOver() throws IOException {
    Path out = folder.resolve("library");
    build(sheet, out);
    assertThrows(
        FileProblemException.class,
        () ->
            Build.run(
                sheet,
                out,
                progress -> {
                  try {
                    Files.writeString(out.resolve("index.csv"), "mine");
                  } catch (IOException e) {
                    throw new UncheckedIOException(e);
                  }
                },
                () -> false));
    assertEquals("mine", Files.readString(out.resolve("index.csv")));
  }

  /** One that leads nowhere too, before the first take is read. */
  @Test
  void aLinkWithTheNameOfASampleStopsABuild() throws IOException {
    Path out = Files.createDirectories(folder.resolve("library"));
    Path link = out.resolve("Tarnwhit_sustain_close_A3_p_rr1.wav");
    Files.createSymbolicLink(link, folder.resolve("nowhere.wav"));
    AtomicInteger steps = new AtomicInteger();
    assertThrows(
        FileProblemException.class,
        () -> Build.run(sheet, out, progress -> steps.incrementAndGet(), () -> false));
    assertEquals(0, steps.get());
    assertTrue(Files.isSymbolicLink(link));
    assertFalse(Files.exists(folder.resolve("nowhere.wav")));
  }

  @Test
  void twoBuildsIntoOneFolderAreRefused() throws IOException {
    Path out = folder.resolve("library");
    AtomicInteger refused = new AtomicInteger();
    Build.run(
        sheet,
        out,
        p -> {
          if (refused.get() == 0) {
            assertThrows(FileProblemException.class, () -> build(sheet, out));
            refused.incrementAndGet();
          }
        },
        () -> false);
    assertEquals(1, refused.get());
    assertSame(undisturbed, out);
  }

  @Test
  void aTakeThatIsNoAudioStopsTheBuildAndLeavesNoSample() throws IOException {
    Path session = Files.createDirectories(folder.resolve("session"));
    for (Map.Entry<String, byte[]> file : Job.contents(sheet.getParent()).entrySet()) {
      Files.write(session.resolve(file.getKey()), file.getValue());
    }
    Files.writeString(session.resolve("hits.wav"), "not audio at all");
    Path out = folder.resolve("library");
    assertThrows(BadAudioException.class, () -> build(session.resolve(sheet.getFileName()), out));
    assertFalse(Files.exists(out.resolve("index.csv")));
    for (String name : Job.contents(out).keySet()) {
      assertFalse(name.endsWith(".part"), name);
    }
  }

  @Test
  void progressNeverGoesBackAndEndsAtOne() throws IOException {
    List<Double> done = new ArrayList<>();
    Build.run(sheet, folder.resolve("library"), p -> done.add(p.done()), () -> false);
    for (int i = 1; i < done.size(); i++) {
      assertTrue(done.get(i) >= done.get(i - 1), done.toString());
    }
    assertEquals(1, done.get(done.size() - 1), 1e-9);
  }
}
