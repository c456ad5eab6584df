package takewright.report;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.nio.file.attribute.FileTime;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.concurrent.CancellationException;
import java.util.function.BooleanSupplier;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.library.BuildOrder;
import takewright.library.BuildProgress;
import takewright.library.BuildStep;
import takewright.library.folder.IndexCsv;
import takewright.library.folder.IndexRow;
import takewright.sheet.cell.CellStatus;

/** What a build leaves in the report's folder. */
class ReportedBuildTest {
  @TempDir static Path folder;

  private static Path sheet;
  private static Path report;
  private static final List<BuildProgress> PROGRESS = new ArrayList<>();
  private static List<BuildProgress> ofTheFirst;

  @BeforeAll
  static void build() throws IOException {
    sheet = PlantedSession.write(folder.resolve("session"));
    report = folder.resolve("library/report");
    build(folder.resolve("library"), () -> false);
    ofTheFirst = List.copyOf(PROGRESS);
  }

  private static void build(Path out, BooleanSupplier cancelled) throws IOException {
    PROGRESS.clear();
    ReportedBuild.run(sheet, out, PROGRESS::add, cancelled, false);
  }

  private static List<Path> list(Path of) throws IOException {
    try (Stream<Path> files = Files.list(of)) {
      return files.sorted().toList();
    }
  }

  private static boolean isAttempt(IndexRow row) {
    return row.status() == CellStatus.RETAKE || row.status() == CellStatus.EXTRA;
  }

  /** Names without the ends that tell samples, attempts and scripts apart. */
  private static Set<String> names(Path of) throws IOException {
    return list(of).stream()
        .map(file -> file.getFileName().toString().replace(".js", ".wav"))
        .collect(Collectors.toSet());
  }

  @Test
  void samplesAndOtherAttemptsHaveTheirPicturesAndFlaggedOnesTheirSounds() throws IOException {
    List<IndexRow> rows = IndexCsv.read(report.resolveSibling("index.csv"));
    List<IndexRow> kept = rows.stream().filter(row -> row.status() == CellStatus.KEPT).toList();
    List<IndexRow> attempts = rows.stream().filter(ReportedBuildTest::isAttempt).toList();
    assertFalse(attempts.isEmpty());
    assertEquals(
        kept.size() + attempts.size(), list(report.resolve(SamplePictures.PICTURES)).size());
    Set<String> sounds = names(report.resolve(SamplePictures.SOUNDS));
    Set<Integer> playedAgain =
        attempts.stream().map(row -> row.cell().midi()).collect(Collectors.toSet());
    int flagged = 0;
    for (IndexRow row : kept) {
      boolean expected = !row.flags().isEmpty() || playedAgain.contains(row.cell().midi());
      assertEquals(expected, sounds.contains(row.file()), row.file());
      flagged += row.flags().isEmpty() ? 0 : 1;
    }
    assertTrue(flagged > 0);
    assertEquals(
        attempts.size(), sounds.stream().filter(name -> name.startsWith("take 1 from ")).count());
    assertTrue(Files.readString(report.resolve("lib/uPlot-LICENSE.txt")).contains("MIT License"));
  }

  @Test
  void soundsOfAllAreKeptWhereAskedFor() throws IOException {
    Path out = folder.resolve("all");
    ReportedBuild.run(sheet, out, progress -> {}, () -> false, true);
    int kept = list(out.resolve("report").resolve(SamplePictures.PICTURES)).size();
    assertEquals(kept, list(out.resolve("report").resolve(SamplePictures.SOUNDS)).size());
  }

  @Test
  void progressNeverGoesBackAndEndsWithThePage() {
    double last = 0;
    for (BuildProgress progress : ofTheFirst) {
      assertTrue(progress.done() >= last, progress + " after " + last);
      last = progress.done();
    }
    assertEquals(1, last, 1e-9);
    assertEquals(BuildStep.REPORT, ofTheFirst.get(ofTheFirst.size() - 1).step());
  }

  @Test
  void aSecondBuildDrawsOnlyWhatChanged() throws IOException {
    Path out = folder.resolve("again");
    build(out, () -> false);
    List<Path> pictures = list(out.resolve("report").resolve(SamplePictures.PICTURES));
    FileTime later = FileTime.fromMillis(System.currentTimeMillis() + 60_000);
    for (Path picture : pictures) {
      Files.setLastModifiedTime(picture, later);
    }
    Files.delete(pictures.get(0));
    Path stale =
        Files.copy(pictures.get(1), pictures.get(1).resolveSibling("No longer a sample.js"));
    Path theirs = Files.writeString(stale.resolveSibling("Not by the program.js"), "note();\n");
    build(out, () -> false);
    assertEquals("note();\n", Files.readString(theirs));
    Files.delete(theirs);
    assertEquals(pictures, list(out.resolve("report").resolve(SamplePictures.PICTURES)));
    assertFalse(Files.exists(stale));
    assertTrue(Files.getLastModifiedTime(pictures.get(0)).compareTo(later) < 0);
    for (Path picture : pictures.subList(1, pictures.size())) {
      assertEquals(later, Files.getLastModifiedTime(picture), "drawn again: " + picture);
    }
  }

  @Test
  void picturesLeftForLaterAreThoseOfABuildThatDrewThem() throws IOException {
    Path out = folder.resolve("later");
    PageSource[] page = new PageSource[1];
    ReportedBuild.runUndrawn(
        BuildOrder.of(sheet, out), progress -> {}, () -> false, false, made -> page[0] = made);
    Path pictures = out.resolve("report").resolve(SamplePictures.PICTURES);
    assertEquals(List.of(), list(pictures));
    String progress = Files.readString(out.resolve("report/data/progress.js"));
    assertTrue(progress.contains("\"state\":\"done\""), progress);
    assertTrue(progress.contains("\"drawn\":0.0"), progress);
    List<Path> drawn = list(report.resolve(SamplePictures.PICTURES));
    String first = drawn.get(0).getFileName().toString();
    byte[] asked = page[0].script(SamplePictures.PICTURES, first);
    page[0].draw(now -> {}, () -> false);
    progress = Files.readString(out.resolve("report/data/progress.js"));
    assertTrue(progress.contains("\"drawn\":1.0"), progress);
    assertEquals(names(report.resolve(SamplePictures.PICTURES)), names(pictures));
    assertEquals(
        names(report.resolve(SamplePictures.SOUNDS)),
        names(out.resolve("report").resolve(SamplePictures.SOUNDS)));
    for (Path one : drawn) {
      assertEquals(-1, Files.mismatch(one, pictures.resolve(one.getFileName())), one.toString());
    }
    String text = Files.readString(pictures.resolve(first));
    assertTrue(text.startsWith(new String(asked, StandardCharsets.UTF_8).strip()), first);
  }

  /** A build may replace a sample while the pictures of the one before are still drawn. */
  @Test
  void aPictureIsAsOldAsWhatItShows() throws IOException {
    for (Path picture : list(report.resolve(SamplePictures.PICTURES))) {
      Path sample = report.resolveSibling(picture.getFileName().toString().replace(".js", ".wav"));
      if (Files.exists(sample)) {
        assertEquals(Files.getLastModifiedTime(sample), Files.getLastModifiedTime(picture));
      }
    }
  }

  @Test
  void thePageSaysHowABuildEnded() throws IOException {
    assertTrue(Files.readString(report.resolve("data/progress.js")).contains("\"state\":\"done\""));
    assertTrue(Files.readString(report.resolve("data/index.js")).contains("\"first\":"));
    Path out = folder.resolve("stopped");
    assertThrows(
        CancellationException.class,
        () -> build(out, () -> !PROGRESS.isEmpty() && last().samplesDone() >= 3));
    String progress = Files.readString(out.resolve("report/data/progress.js"));
    assertTrue(progress.contains("\"state\":\"stopped\""), progress);
  }

  private static BuildProgress last() {
    return PROGRESS.get(PROGRESS.size() - 1);
  }

  /** It is said before the first take is read, not after hours of work. */
  @ParameterizedTest
  @ValueSource(strings = {"index.html", "report.css"})
  void aPageThatAPersonChangedStopsABuildBeforeItBegins(String part) throws IOException {
    Path out = folder.resolve("changed-" + part);
    Path mine = Files.createDirectories(out.resolve("report")).resolve(part);
    Files.copy(report.resolve("store.js"), mine.resolveSibling("store.js"));
    Files.copy(report.resolve(part), mine);
    Files.writeString(mine, "mine", StandardOpenOption.APPEND);
    byte[] before = Files.readAllBytes(mine);
    IOException refused = assertThrows(IOException.class, () -> build(out, () -> false));
    assertTrue(refused.getMessage().startsWith(mine + ": "), refused.getMessage());
    assertArrayEquals(before, Files.readAllBytes(mine));
    assertEquals(List.of(out.resolve("report")), list(out));
  }

  @Test
  void aFolderOfThatNameThatNoBuildMadeIsLeftAlone() throws IOException {
    Path out = folder.resolve("foreign");
    Path mine = Files.createDirectories(out.resolve("report")).resolve("index.html");
    Files.writeString(mine, "mine");
    IOException e = assertThrows(IOException.class, () -> build(out, () -> false));
    assertTrue(e.getMessage().contains("move it away"), e.getMessage());
    assertEquals("mine", Files.readString(mine));
    assertEquals(List.of(out.resolve("report")), list(out));
  }
}
