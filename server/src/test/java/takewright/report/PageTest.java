package takewright.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.function.Predicate;
import java.util.regex.Pattern;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.openqa.selenium.Keys;
import org.openqa.selenium.WebElement;
import takewright.diagnosis.Flag;
import takewright.library.BuildResult;
import takewright.library.folder.IndexCsv;
import takewright.library.folder.IndexRow;
import takewright.sheet.cell.CellStatus;

/** The page of a real build, opened from disk in Chromium. */
class PageTest {
  @TempDir static Path folder;

  private static Path sheet;
  private static Path page;
  private static List<IndexRow> rows;
  private static Browser browser;

  @BeforeAll
  static void buildAndOpen() throws IOException {
    browser = new Browser(folder);
    sheet = PlantedSession.built(folder);
    BuildResult result = build(sheet, folder.resolve("library"));
    page = folder.resolve("library/report/index.html");
    rows = IndexCsv.read(result.indexFile());
  }

  @AfterAll
  static void close() {
    if (browser != null) {
      browser.close();
    }
  }

  private static BuildResult build(Path sheet, Path out) throws IOException {
    return ReportedBuild.run(sheet, out, progress -> {}, () -> false, false);
  }

  private static long count(Predicate<IndexRow> test) {
    return rows.stream().filter(test).count();
  }

  private static IndexRow kept(int midi, int rr) {
    return rows.stream()
        .filter(
            r -> r.status() == CellStatus.KEPT && r.cell().midi() == midi && r.cell().rr() == rr)
        .findFirst()
        .orElseThrow();
  }

  @Test
  void itOpensFromDiskWithNoErrorAndNoRequestThatFails() throws IOException {
    browser.complaints();
    browser.events();
    for (String view : List.of("attention", "grid", "plots", "takes", "decisions", "changes")) {
      browser.open(page, view);
      browser.until(view, () -> browser.find("main > section") != null);
    }
    for (int i = 0; i < rows.size(); i++) {
      browser.open(page, "sample-" + i);
      int row = i;
      boolean isRetake = rows.get(i).status() == CellStatus.RETAKE;
      if (rows.get(i).file() != null || isRetake) {
        browser.until(
            "pictures of " + row,
            () -> browser.all(".pictures figure canvas").size() == (isRetake ? 3 : 5));
        browser.find(".editor .handles canvas");
      }
    }
    assertEquals(List.of(), browser.complaints());
    assertEquals(List.of(), browser.badRequests("(file|data|about|blob):.*"));
  }

  @Test
  void aPictureThatIsStillBeingDrawnAppearsOnceItIs() throws IOException {
    IndexRow row = kept(PlantedSession.FIRST, 1);
    Path picture =
        page.resolveSibling(SamplePictures.PICTURES).resolve(row.file().replace(".wav", ".js"));
    Path aside = picture.resolveSibling("aside");
    Path progress = page.resolveSibling("data/progress.js");
    String said = Files.readString(progress);
    Files.move(picture, aside);
    Files.writeString(progress, said.replace("\"drawn\":1.0", "\"drawn\":0.5"));
    try {
      browser.open(page, "sample-" + rows.indexOf(row));
      browser.until(
          "it says so", () -> browser.text(".pictures").contains("are being drawn: 50 %"));
      Files.move(aside, picture);
      browser.until("its pictures", () -> browser.all(".pictures figure canvas").size() == 5);
    } finally {
      Files.writeString(progress, said);
      browser.complaints();
      browser.events();
    }
  }

  @Test
  void countsAreThoseOfTheIndex() {
    browser.open(page, "grid");
    long kept = count(r -> r.status() == CellStatus.KEPT);
    long missing = count(r -> r.status() == CellStatus.MISSING);
    assertTrue(browser.text("#count-kept").contains(" " + kept + " of " + (kept + missing) + " "));
    int flagged = browser.all(".grid .cell.flagged").size();
    assertTrue(flagged >= count(r -> r.status() == CellStatus.KEPT && !r.flags().isEmpty()));
    assertEquals(kept - flagged, browser.all(".grid .cell.kept").size());
    assertEquals(missing, browser.all(".grid .cell.missing").size());
    // The same notes in the line of counts, in the list, and among the cells.
    assertTrue(browser.text("#count-check").contains(" " + (flagged + missing) + " to check"));
    browser.open(page, "attention");
    browser.until(
        "the list's own count",
        () -> browser.text(".attention h2").startsWith(flagged + missing + " notes to check"));
    assertEquals("To check " + (flagged + missing), browser.text(".filters [data-show='check']"));
    browser.open(page, "grid");
    assertTrue(browser.text("h3").contains(PlantedSession.ARTICULATION), browser.text("h3"));
  }

  @Test
  void theFirstBuildIsSaidToBeTheFirst() throws IOException {
    browser.open(page, "changes");
    assertEquals("Nothing: all samples are as they were.", browser.text(".changes .lead"));
    Path index = page.resolveSibling("data/index.js");
    String said = Files.readString(index);
    Files.writeString(index, said.replace("\"first\":false", "\"first\":true"));
    try {
      browser.open(page, "changes");
      assertEquals(
          "This was the first build: all samples are new.", browser.text(".changes .lead"));
    } finally {
      Files.writeString(index, said);
    }
  }

  @Test
  void aPageOfABuildThatFailedDoesNotSayThatAllIsWell() throws IOException {
    Path broken = Files.createDirectory(folder.resolve("broken"));
    Files.writeString(broken.resolve("a.wav"), "no audio");
    Path its =
        Files.writeString(
            broken.resolve("sheet.yaml"),
            "library: L\ntakes: [{file: a.wav, articulation: tap, kind: unpitched}]\n");
    assertThrows(IOException.class, () -> build(its, broken.resolve("library")));
    browser.open(broken.resolve("library/report/index.html"), "attention");
    assertEquals("Nothing has been built yet", browser.text(".attention h2"));
    browser.open(broken.resolve("library/report/index.html"), "changes");
    assertEquals("Nothing: no build has ended yet.", browser.text(".changes .lead"));
  }

  /** As java.util.Formatter writes them: halves of the decimal away from zero; zero has no sign. */
  @ParameterizedTest
  @ValueSource(
      doubles = {18.45, -18.35, 0.25, -0.25, 1.005, 2.5, -2.5, 0.04, -0.04, 1e-7, 99.95, 12345.65})
  void numbersAreRoundedAsTheCommandsRoundThem(double value) {
    browser.open(page, "decisions");
    for (int digits : new int[] {0, 1, 2}) {
      String rounded = String.format(Locale.ROOT, "%." + digits + "f", value);
      String expected = rounded.replaceFirst("^-(?=[0.]*$)", "").replace('-', '−');
      assertEquals(expected, browser.run("return round(" + value + ", " + digits + ")"));
      String sign = value > 0 && expected.matches(".*[1-9].*") ? "+" : "";
      assertEquals(sign + expected, browser.run("return signed(" + value + ", " + digits + ")"));
    }
  }

  @Test
  void theLevelPlotDrawsTheCurveThatTheBuildFitted() {
    assertTrue(
        rows.stream()
            .filter(r -> r.status() == CellStatus.KEPT)
            .allMatch(r -> Math.abs(r.measures().levelCurveLufs() - r.measures().levelLufs()) < 2),
        "all tones were played at one level, so that the curve is near");
    browser.open(page, "plots");
    browser.until(
        "its legend",
        () ->
            browser.all(".plot .legend").stream()
                .anyMatch(legend -> legend.getText().contains("fitted curve of each")));
  }

  @Test
  void plantedFaultsAreOnTopWithTheirReasons() {
    browser.open(page, "attention");
    browser.find("#item-4");
    String missing = browser.text("#item-0");
    assertTrue(missing.contains("C4 mf rr2"), missing);
    assertTrue(missing.contains("Missing: nothing in take #1 50%.wav fills this cell."), missing);
    String overloaded = browser.text("#item-1");
    assertTrue(overloaded.contains("C#4 mf rr2"), overloaded);
    assertTrue(overloaded.contains("was left out: its peaks are cut off flat"), overloaded);
    String clipped = browser.text("#item-2");
    assertTrue(clipped.contains("D4 mf rr2"), clipped);
    // Half a second and 0.9 s after its onset.
    assertTrue(
        Pattern.compile(
                "From 0\\.5\\d s to 0\\.9\\d s \\(\\d:\\d\\d\\.\\d\\d in the take\\) its peaks are"
                    + " cut off")
            .matcher(clipped)
            .find(),
        clipped);
    String lost = browser.text("#item-3");
    assertTrue(lost.contains("E4 mf rr2"), lost);
    assertTrue(lost.contains("It is out of tune: 70 cents sharp"), lost);
    String mistuned = browser.text("#item-4");
    assertTrue(mistuned.contains("D#4 mf rr2"), mistuned);
    assertTrue(mistuned.contains("It was out of tune: 48 cents flat"), mistuned);
  }

  @Test
  void everyFlagIsExplainedWithWhatToDo() {
    browser.open(page, "attention");
    for (Flag flag : Flag.values()) {
      Object said =
          browser.run(
              "const [r] = Reasons.of({ status: 'kept', flags: ['"
                  + flag.word()
                  + "'], cents_before: null }, []); return `${r.text} ${r.todo} ${r.weight}`");
      String expected = flag.meaning() + ". " + flag.remedy() + ". " + flag.weight();
      assertTrue(expected.replace('`', '"').equalsIgnoreCase(said.toString()), said.toString());
    }
  }

  @Test
  void aClickLeadsToTheSampleAndItsSoundsPlay() {
    browser.open(page, "attention");
    browser.find("#item-2").click();
    browser.find(".sample");
    assertTrue(browser.text(".sample h2").contains("D4 mf rr2"));
    for (String sound : List.of("after", "before", "removed")) {
      browser.find("#play-" + sound).click();
      browser.untilSoundIs("playing");
      browser.find("footer button").click();
      browser.untilSoundIs("stopped");
    }
    browser.open(page, "takes");
    browser.find(".bar .region.rejected").click();
    browser.find("#play-before").click();
    browser.untilSoundIs("playing");
    // Without sounds of its own a sample's "before" is the stretch of the take.
    browser.open(page, "sample-" + rows.indexOf(kept(PlantedSession.FIRST, 1)));
    browser.find("#play-before").click();
    browser.untilSoundIs("playing");
    double at =
        ((Number) browser.run("return document.querySelector('audio').currentTime")).doubleValue();
    IndexRow row = kept(PlantedSession.FIRST, 1);
    assertTrue(
        at >= row.stretch().startS() - 0.1 && at <= row.stretch().endS() + 0.1, "plays at " + at);
  }

  @Test
  void keysAloneAreEnough() {
    browser.open(page, "decisions");
    browser.run("localStorage.clear()");
    browser.open(page, "attention");
    browser.until(
        "the list has the focus",
        () -> "attention".equals(browser.focused().getDomAttribute("id")));
    browser.press(Keys.ARROW_DOWN, Keys.ARROW_DOWN, Keys.ENTER);
    browser.find(".sample");
    assertTrue(browser.text(".sample h2").contains("D4 mf rr2"));
    browser.press("p");
    browser.untilSoundIs("playing");
    browser.press("s");
    browser.untilSoundIs("stopped");
    browser.press("e");
    browser.untilSoundIs("playing");
    assertTrue(browser.text(".said").contains("D4 mf rr2 around"), browser.text(".said"));
    browser.press("s");
    browser.untilSoundIs("stopped");
    browser.press("d");
    assertEquals("true", browser.find("[data-decide='drop']").getDomAttribute("aria-pressed"));
    browser.press("n");
    browser.until("the next one", () -> browser.text(".sample h2").contains("E4 mf rr2"));
    browser.press(Keys.ESCAPE);
    browser.find("#attention");

    browser.press("2");
    browser.find(".grid");
    tabTo("cell");
    String before = browser.focused().getDomAttribute("data-row");
    browser.press(Keys.ARROW_LEFT);
    WebElement cell = browser.focused();
    assertTrue(cell.getDomAttribute("class").contains("cell"));
    assertTrue(!cell.getDomAttribute("data-row").equals(before));
    browser.press(Keys.ENTER);
    browser.find(".sample");

    browser.press("3");
    browser.find(".plot .frame");
    tabTo("frame");
    browser.press(Keys.ARROW_RIGHT, Keys.ARROW_RIGHT);
    browser.until("a point is read out", () -> browser.text(".readout").contains("mf"));
    browser.press(Keys.ENTER);
    browser.find(".sample");

    browser.press("4");
    browser.find(".region");
    tabTo("region");
    browser.press(Keys.ENTER);
    browser.find(".sample");

    browser.press("5");
    browser.until(
        "the line for the sheet",
        () -> browser.find("#lines").getDomProperty("value").contains("drop: yes"));
    browser.run("localStorage.clear()");
  }

  /** Presses the tabulator until an element of the class has the focus. */
  private static void tabTo(String name) {
    for (int i = 0; i < 60; i++) {
      browser.press(Keys.TAB);
      String classes = browser.focused().getDomAttribute("class");
      if (classes != null && List.of(classes.split(" ")).contains(name)) {
        return;
      }
    }
    throw new AssertionError("no tabulator leads to ." + name);
  }
}
