package takewright.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Collections;
import java.util.List;
import java.util.Locale;
import java.util.Objects;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.openqa.selenium.Keys;
import org.openqa.selenium.WebElement;
import takewright.diagnosis.Flag;
import takewright.library.BuildOrder;
import takewright.library.folder.IndexCsv;
import takewright.library.folder.IndexRow;
import takewright.sheet.cell.CellStatus;
import takewright.sheet.decision.Correction;

/** Handles, keys and sounds of a sample's page, with the sounds of all samples at hand. */
class EditorTest {
  @TempDir static Path folder;

  private static Path sheet;
  private static Path page;
  private static List<IndexRow> rows;
  private static Browser browser;

  @BeforeAll
  static void buildAndOpen() throws IOException {
    browser = new Browser(folder);
    sheet = PlantedSession.built(folder);
    Path index =
        ReportedBuild.run(sheet, folder.resolve("library"), progress -> {}, () -> false, true)
            .indexFile();
    page = folder.resolve("library/report/index.html");
    rows = IndexCsv.read(index);
  }

  @AfterAll
  static void close() {
    if (browser != null) {
      browser.close();
    }
  }

  @BeforeEach
  void nothingIsDecided() {
    browser.open(page, "decisions");
    browser.run("localStorage.clear()");
  }

  private static IndexRow open(CellStatus status) {
    IndexRow row = rows.stream().filter(r -> r.status() == status).findFirst().orElseThrow();
    browser.open(page, "sample-" + rows.indexOf(row));
    browser.find(".handles canvas");
    browser.until(
        "the handles stand",
        () -> browser.find("[data-handle='start_s']").getDomAttribute("aria-valuenow") != null);
    return row;
  }

  private static double value(String handle) {
    return Double.parseDouble(
        Objects.requireNonNull(
            browser.find("[data-handle='" + handle + "']").getDomAttribute("aria-valuenow")));
  }

  private static Correction decided() throws IOException {
    browser.open(page, "decisions");
    String lines = browser.find("#lines").getDomProperty("value");
    Path file = Files.writeString(folder.resolve("read.yaml"), lines);
    return new BuildOrder(sheet, folder, file)
        .read()
        .sheet()
        .takes()
        .get(0)
        .fixes()
        .get(0)
        .correction();
  }

  /** A scratch as a note begins is told as a wrong start and as a disturbance, at one place. */
  @Test
  void faultsAtOnePlaceCanBeToldApart() {
    IndexRow row =
        rows.stream().filter(r -> r.status() == CellStatus.RETAKE).findFirst().orElseThrow();
    int at = rows.indexOf(row);
    browser.open(page, "decisions");
    browser.run(
        "const row = Takewright.library.rows["
            + at
            + "];"
            + " row.flags = ['wrong_start', 'disturbed'];"
            + " row.flagsAt = { wrong_start: [row.start_s, row.start_s + 0.3],"
            + " disturbed: [row.start_s, row.start_s + 0.4] };"
            + " window.said = [];"
            + " const drawn = CanvasRenderingContext2D.prototype.fillText;"
            + " CanvasRenderingContext2D.prototype.fillText = function (word, x, y) {"
            + " said.push([word, this.canvas.closest('figure') ? 'picture' : 'editor', y]);"
            + " drawn.call(this, word, x, y); };"
            + " location.hash = 'sample-"
            + at
            + "'");
    for (String flag : List.of("wrong start", "disturbed")) {
      browser.until(flag + " is written", () -> !heights(flag).isEmpty());
    }
    assertTrue(Collections.disjoint(heights("wrong start"), heights("disturbed")));
    assertEquals(
        List.of("▶ Hear: wrong start e", "▶ Hear: disturbed"),
        browser.all(".reasons .hear").stream().map(WebElement::getText).toList());
  }

  /** How high up a word is written, in the editor and in pictures. */
  private static List<String> heights(String word) {
    Object said = browser.run("return said.filter((w) => w[0] === '" + word + "').map(String)");
    return ((List<?>) said)
        .stream().map(one -> one.toString().replace(word, "")).distinct().toList();
  }

  @Test
  void handlesMoveByKeysAreHeardAndSaved() throws IOException {
    IndexRow row = open(CellStatus.KEPT);
    assertEquals(row.stretch().startS(), value("start_s"), 1e-4);
    assertEquals(row.stretch().endS(), value("end_s"), 1e-4);
    browser.find("[data-handle='start_s']").sendKeys(Keys.ARROW_LEFT, Keys.ARROW_LEFT);
    browser.untilSoundIs("playing");
    browser.find("[data-handle='end_s']").sendKeys(Keys.PAGE_UP);
    assertEquals(row.stretch().startS() - 0.002, value("start_s"), 1e-4);
    assertEquals(row.stretch().endS() + 0.010, value("end_s"), 1e-4);
    browser.press(Keys.ENTER);
    Correction fix = decided();
    assertEquals(row.stretch().startS() - 0.002, fix.startS(), 2e-4);
    assertEquals(row.stretch().endS() + 0.010, fix.endS(), 2e-4);
  }

  @Test
  void aHandleIsDraggedAndStaysInItsLimits() throws IOException {
    IndexRow row = open(CellStatus.KEPT);
    WebElement end = browser.find("[data-handle='end_s']");
    browser.drag(end, -60);
    browser.untilSoundIs("playing");
    double dragged = value("end_s");
    assertTrue(dragged < row.stretch().endS() - 0.05, "dragged to " + dragged);
    browser.find("#stop").click();
    browser.drag(browser.find("[data-handle='start_s']"), 900);
    assertTrue(value("start_s") < dragged, "the start stays before the end");
    browser.find("#revert-fix").click();
    assertEquals(row.stretch().endS(), value("end_s"), 1e-4);
    browser.drag(end, -60);
    browser.find("#save-fix").click();
    assertEquals(dragged, decided().endS(), 0.02);
  }

  @Test
  void gainPitchCleaningAndLoopBecomeAFixThatCanBeTakenBack() throws IOException {
    open(CellStatus.KEPT);
    browser.find("[data-set='gain_db']").sendKeys(Keys.chord(Keys.CONTROL, "a"), "-1.5", Keys.TAB);
    browser.find("[data-set='cents']").sendKeys(Keys.chord(Keys.CONTROL, "a"), "-3", Keys.TAB);
    browser.find("[data-set='cleaning_db']").sendKeys("12", Keys.TAB);
    if (browser.text("#no-loop").equals("Loop here")) {
      browser.find("#no-loop").click();
    }
    browser.find("[data-handle='loop_end']").sendKeys(Keys.ARROW_RIGHT);
    double from = value("loop_start");
    double to = value("loop_end");
    browser.find("#hear-loop").click();
    browser.untilSoundIs("playing");
    assertTrue(browser.text(".said").contains("held by its loop"));
    browser.find("#save-fix").click();
    Correction fix = decided();
    assertEquals(-1.5, fix.gainDb());
    assertEquals(-3, fix.cents());
    assertEquals(12, fix.cleaningDb());
    assertEquals(from, fix.loop().startS(), 1e-4);
    assertEquals(to, fix.loop().endS(), 1e-4);
    open(CellStatus.KEPT);
    browser.find("#no-loop").click();
    browser.find("#save-fix").click();
    assertEquals(false, decided().loop().wanted());
    open(CellStatus.KEPT);
    browser.press("u");
    browser.press("u");
    browser.open(page, "decisions");
    assertEquals("# No decisions yet.", browser.find("#lines").getDomProperty("value"));
  }

  @Test
  void attemptsAtANoteAreHeardInStep() {
    IndexRow retake = open(CellStatus.RETAKE);
    assertTrue(browser.text(".reasons").startsWith("Played again later"), "why it was left out");
    List<WebElement> others = browser.all(".compare [data-sound^='other-']");
    assertTrue(others.size() >= 1, "the kept attempt is beside it");
    browser.run(
        "window.AudioContext = class extends AudioContext {"
            + " constructor() { super(); window.heardThrough = this; } }");
    browser.find("#play-before").click();
    browser.untilSoundIs("playing");
    browser.until("it is heard", () -> position() > 0.1);
    // On a slow machine it would be over before the rest is pressed: sound time stands still.
    browser.run("return heardThrough.suspend()");
    Object began = browser.run("return Mixer.startedAt()");
    browser.press("c");
    browser.until(
        "another is heard",
        () -> !browser.find("#play-before").getDomAttribute("aria-pressed").equals("true"));
    assertEquals(began, browser.run("return Mixer.startedAt()"));
    assertEquals(1, browser.all(".compare [aria-pressed='true']").size());
    browser.find("#play-before").click();
    assertEquals(began, browser.run("return Mixer.startedAt()"));
    browser.run("return heardThrough.resume()");
    browser.press("s");
    browser.untilSoundIs("stopped");
    assertEquals(CellStatus.RETAKE, retake.status());
  }

  @Test
  void attemptsLieBelowEachOtherAndPlayFromWhereOneClicks() {
    open(CellStatus.RETAKE);
    List<WebElement> attempts = browser.all(".strips .attempt");
    assertTrue(attempts.size() >= 2);
    browser.until("they are drawn", () -> browser.all(".attempt canvas").size() >= 2);
    attempts.get(1).click();
    browser.untilSoundIs("playing");
    browser.until("from the middle", () -> position() > 0.7);
    assertTrue(browser.find(".attempt.heard").getDomAttribute("data-attempt").startsWith("other-"));
    browser.press("s");
  }

  @Test
  void whatIsComparedIsMatchedInLevel() {
    open(CellStatus.RETAKE);
    browser.find("#play-before").click();
    browser.untilSoundIs("playing");
    // The attempts were played 1 and 2 dB softer than the first, at peak.
    double spread =
        ((Number) browser.run("const l = Mixer.heardDb(); return Math.max(...l) - Math.min(...l)"))
            .doubleValue();
    assertTrue(spread < 0.5, spread + " dB apart");
    browser.press("s");
  }

  /** Both pictures of the take are orange where its peaks are cut off, and nowhere else. */
  @Test
  void whereAFlagsReasonIsHeardIsMarked() {
    IndexRow clipped =
        rows.stream()
            .filter(r -> r.flags().contains(Flag.CLIPPED) && r.status() == CellStatus.KEPT)
            .findFirst()
            .orElseThrow();
    browser.open(page, "sample-" + rows.indexOf(clipped));
    browser.find(".pictures canvas");
    double fromS = clipped.places().get(0).fromS();
    double toS = clipped.places().get(0).toS();
    assertEquals(0.4, toS - fromS, 0.01, clipped.places().toString());
    String isMarkedAt =
        "return (async (s, name, row) => { const c = document.querySelector(name);"
            + " const { before } = await Takewright.picture(row);"
            + " const { take } = await Sounds.of(row);"
            + " const [from, seconds] = name.includes('handles')"
            + "   ? [take.fromS, take.samples.length / take.rate] : [before.fromS, before.aroundS];"
            + " const x = Math.round(c.width * (s - from) / seconds);"
            + " const [, , blue, alpha] = c.getContext('2d').getImageData(x, Math.round(0.85 * c.height), 1, 1).data;"
            + " return alpha > 0 && blue < 100; })(%s, '%s', Takewright.library.rows[%d])";
    for (String picture : List.of(".pictures canvas", ".handles canvas")) {
      browser.until("it is drawn", () -> !browser.all(picture).isEmpty());
      for (double s : new double[] {fromS - 0.1, (fromS + toS) / 2, toS + 0.1}) {
        Object isMarked =
            browser.run(String.format(Locale.ROOT, isMarkedAt, s, picture, rows.indexOf(clipped)));
        assertEquals(s > fromS && s < toS, isMarked, picture + " at " + s);
      }
    }
  }

  @Test
  void loopAndRemovedOfAnySampleArePlayed() {
    open(CellStatus.KEPT);
    browser.press("r");
    browser.untilSoundIs("playing");
    assertTrue(browser.text(".said").contains("removed"));
    browser.press("s");
    int looped = 0;
    for (IndexRow row : rows) {
      if (row.loop().start() != null && looped++ == 0) {
        browser.open(page, "sample-" + rows.indexOf(row));
        browser.find("#play-loop").click();
        browser.untilSoundIs("playing");
        assertTrue(browser.text(".said").contains("held by its loop"));
        browser.press("s");
      }
    }
    assertTrue(looped > 0, "some sample has a loop");
  }

  private static double position() {
    return ((Number) browser.run("return Mixer.positionS() ?? 0")).doubleValue();
  }
}
