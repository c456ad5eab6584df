package takewright.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.openqa.selenium.Keys;
import takewright.diagnosis.Flag;
import takewright.library.BuildOrder;
import takewright.library.folder.IndexCsv;
import takewright.library.folder.IndexRow;
import takewright.sheet.cell.CellStatus;
import takewright.sheet.decision.Fix;
import takewright.sheet.decision.Verdict;

/** Decisions on the page of a real build, opened from disk in Chromium. */
class DecidingTest {
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
        ReportedBuild.run(sheet, folder.resolve("library"), progress -> {}, () -> false, false)
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
    browser.run("localStorage.clear(); sessionStorage.clear()");
    browser.open(page, "attention");
    browser.find("#item-4");
  }

  private static int toCheck() {
    String text = browser.text(".filters [data-show='check']");
    return Integer.parseInt(text.substring(text.lastIndexOf(' ') + 1));
  }

  private static void untilToCheck(int notes) {
    browser.until(notes + " notes to check", () -> toCheck() == notes);
  }

  /** What the page has as decisions file, as a build reads it. */
  private static List<Fix> decided() throws IOException {
    browser.open(page, "decisions");
    String lines = browser.find("#lines").getDomProperty("value");
    Path file = Files.writeString(folder.resolve("read.yaml"), lines);
    return new BuildOrder(sheet, folder, file).read().sheet().takes().get(0).fixes();
  }

  private static IndexRow first(CellStatus status) {
    return rows.stream().filter(r -> r.status() == status).findFirst().orElseThrow();
  }

  @Test
  void whatIsAcceptedLeavesTheListAndComesBackWhenUndone() throws IOException {
    int before = toCheck();
    String clipped = browser.text("#item-2");
    assertTrue(clipped.contains("D4 mf rr2"), clipped);
    browser.press(Keys.ARROW_DOWN, Keys.ARROW_DOWN, "a");
    untilToCheck(before - 1);
    assertFalse(browser.text("#attention").contains("D4 mf rr2"));
    browser.until("the next is selected", () -> browser.find(".item.at").getText().contains("E4"));
    List<Fix> fixes = decided();
    assertEquals(1, fixes.size());
    IndexRow kept =
        rows.stream()
            .filter(
                r -> r.status() == CellStatus.KEPT && r.cell().midi() == 62 && r.cell().rr() == 2)
            .findFirst()
            .orElseThrow();
    assertTrue(kept.flags().contains(Flag.CLIPPED));
    assertEquals(kept.flags(), fixes.get(0).correction().accepted());
    assertTrue(fixes.get(0).atS() > kept.stretch().onsetS());
    assertTrue(fixes.get(0).atS() < kept.stretch().endS());
    browser.open(page, "attention");
    browser.find("#item-2");
    untilToCheck(before - 1);
    browser.press("u");
    untilToCheck(before);
    assertEquals(List.of(), decided());
  }

  @Test
  void severalSelectedAreOneDecision() throws IOException {
    int before = toCheck();
    browser.press("x");
    browser.pressWith(Keys.SHIFT, Keys.ARROW_DOWN);
    browser.pressWith(Keys.SHIFT, Keys.ARROW_DOWN);
    browser.until("three are selected", () -> browser.text(".marked").contains("3 selected"));
    assertEquals(3, browser.all(".item[aria-selected='true']").size());
    browser.find("#accept-marked").click();
    untilToCheck(before - 3);
    List<Fix> fixes = decided();
    assertEquals(3, fixes.size());
    assertEquals(2, fixes.stream().filter(Fix::acceptsMissing).count());
    assertTrue(
        fixes.stream()
            .anyMatch(
                f ->
                    f.acceptsMissing()
                        && f.cell().midi() == PlantedSession.MISSING
                        && f.cell().rr() == 2));
    browser.open(page, "attention");
    browser.find("#undo").click();
    untilToCheck(before);
  }

  @Test
  void theListIsWhereItWasWhenOneComesBack() {
    browser.find(".filters [data-show='all']").click();
    browser.find("#item-9");
    browser.run("document.querySelector('#attention').scrollTop = 310");
    browser.until("it is scrolled", () -> !browser.all("#item-12").isEmpty());
    browser.find("#item-9").click();
    browser.find(".sample");
    browser.press(Keys.ESCAPE);
    browser.find("#attention");
    browser.until(
        "the same place",
        () ->
            Math.abs(
                    ((Number) browser.run("return document.querySelector('#attention').scrollTop"))
                            .intValue()
                        - 310)
                < 2);
    assertEquals("true", browser.find("[data-show='all']").getDomAttribute("aria-pressed"));
    assertTrue(browser.find(".item.at").getDomAttribute("id").equals("item-9"));
    browser.open(page, "attention");
    browser.until(
        "also when the page is read again",
        () -> browser.find("[data-show='all']").getDomAttribute("aria-pressed").equals("true"));
  }

  @Test
  void aSearchFindsNotesAlsoBeyondTheList() {
    browser.press("/");
    browser.until(
        "the field has the focus", () -> "search".equals(browser.focused().getDomAttribute("id")));
    browser.press("d#4");
    browser.until("one is left", () -> browser.all(".item").size() == 1);
    assertTrue(browser.text("#item-0").contains("D#4 mf rr2"));
    browser.find("#search-all").click();
    browser.until("both round robins", () -> browser.all(".item").size() == 2);
    browser.find("#search").clear();
    browser.find("#search").sendKeys("d#4 rr1");
    browser.until("one of them", () -> browser.all(".item").size() == 1);
    browser.find("#search").clear();
    browser.find("#search").sendKeys("zzz");
    browser.until("none", () -> browser.all(".item").isEmpty());
  }

  /** Changes what the page has heard of the build. */
  private void found(String change) {
    browser.run(
        change
            + "Takewright.library.rows = [...Takewright.library.rows];"
            + "Notes.gather(Takewright.library.rows);"
            + " document.querySelector('main > section').redraw()");
  }

  /** A player who stopped half way up. */
  @Test
  void aPartOfTheRangeThatWasNotPlayedStandsInOneRow() {
    found(
        "for (const r of Takewright.library.rows) if (r.midi >= 62 && r.status !== 'rejected')"
            + " { r.status = 'missing'; r.start_s = null; r.file = ''; r.flags = []; }");
    browser.until(
        "one row", () -> browser.text("#item-0").contains("D4 to E4 are missing altogether in"));
    String row = browser.text("#item-0");
    assertTrue(row.contains("6 cells."), row);
    assertTrue(row.contains("correct \"notes\" in sheet.yaml if no more were meant"), row);
  }

  /** Four of fourteen are no habit, but small matters are still decided together. */
  @Test
  void smallMattersOfManyNotesStandInOneRow() {
    String four =
        "const kept = Takewright.library.rows.filter((r) => r.status === 'kept');"
            + "for (const r of kept) r.flags = []; for (const r of kept.slice(0, 4))";
    found(four + " r.flags = ['disturbed'];");
    browser.until("rows of their own", () -> browser.text(".attention").contains("a voice"));
    assertTrue(browser.all(".item[aria-expanded]").isEmpty());
    found(four + " r.flags = ['loop_fair'];");
    browser.until("a fold", () -> !browser.all(".item[aria-expanded='false']").isEmpty());
    assertTrue(browser.text(".item[aria-expanded]").contains("4 of 14 notes of"));
  }

  @Test
  void whatManyNotesShareStandsInOneRow() {
    // The same flag on five of the kept notes, as a session without a loop would have.
    browser.run(
        "const kept = Takewright.library.rows.filter((r) => r.status === 'kept').slice(0, 5);"
            + "for (const r of kept) r.flags.push('no_loop');"
            + "Takewright.library.rows = [...Takewright.library.rows];"
            + "Notes.gather(Takewright.library.rows); document.querySelector('main > section').redraw()");
    browser.until("a fold", () -> !browser.all(".item[aria-expanded='false']").isEmpty());
    String fold = browser.find(".item[aria-expanded]").getText();
    assertTrue(fold.contains("5 of 14 notes of"), fold);
    int lines = browser.all(".item").size();
    int before = toCheck();
    browser.find(".item[aria-expanded='false']").click();
    browser.until("its notes", () -> browser.all(".item").size() == lines + 5);
    assertEquals("2", browser.all(".item.level2").get(0).getDomAttribute("aria-level"));
    browser.find(".item[aria-expanded='true']").click();
    browser.until("closed", () -> browser.all(".item").size() == lines);
    browser.find(".item[aria-expanded] .accept").click();
    browser.until("accepted together", () -> browser.all(".item[aria-expanded]").isEmpty());
    assertTrue(toCheck() < before);
  }

  /** Changes rows of the index in the page and draws the list anew. */
  private static void changeRows(String script) {
    browser.run(
        "let rows = Takewright.library.rows; "
            + script
            + " Takewright.library.rows = [...rows]; Notes.gather(Takewright.library.rows);"
            + " document.querySelector('main > section').redraw()");
  }

  /** How far a room lifts a note differs from microphone to microphone. */
  @Test
  void levelsAreComparedInTheMainMicrophoneOnly() {
    String loud =
        "const far = rows.filter((r) => r.status === 'kept').map((r, i) => ({ ...r, id: 1000 + i,"
            + " layer: 'far' })); far[5].level_lufs += 12; rows = rows.concat(far);";
    int before = toCheck();
    changeRows(loud);
    assertEquals(before, toCheck());
    changeRows("rows.filter((r) => r.status === 'kept')[5].level_lufs += 12;");
    untilToCheck(before + 1);
  }

  /**
   * A word that a detector hears a pitch in is no note; another attempt that was left out may be.
   */
  @Test
  void onlyWhatMayBeTheNoteIsOfferedForAMissingCell() {
    String missing =
        "const missing = rows.find((r) => r.status === 'missing'); const kept = rows.find((r) =>"
            + " r.status === 'kept'); const heard = (more) => rows.push({ ...kept, ...missing, id:"
            + " rows.length, region: `x${rows.length}`, status: 'retake', cents_before: 5, start_s:"
            + " 100, end_s: 100 + kept.end_s - kept.start_s, flags: [], ...more });";
    changeRows(missing + "heard({ status: 'extra', end_s: 100.2 });");
    changeRows(missing + "heard({ status: 'rejected', flags: ['talk'] });");
    String said = "return Reasons.of(rows.find((r) => r.status === 'missing'), rows)[0].text";
    String text = (String) browser.run("const { rows } = Takewright.library; " + said);
    assertTrue(text.startsWith("Missing: nothing in "), text);
    changeRows(missing + "heard({ flags: ['false_start'] });");
    text = (String) browser.run("const { rows } = Takewright.library; " + said);
    assertTrue(text.contains("at 1:40.00 of "), text);
    assertTrue(text.endsWith("was left out: it was broken off and begun again."), text);
    browser.find(".item .keep").click();
    String lines = (String) browser.run("return Decisions.text()");
    assertTrue(lines.contains("at: 10") && lines.contains("keep: yes"), lines);
  }

  /** A sheet an octave off, built as it is: the page says so before anything else. */
  @Test
  void aPlanThatIsDoubtedStandsAboveTheList() throws IOException {
    Path off = sheet.resolveSibling("off.yaml");
    Files.writeString(off, Files.readString(sheet).replace("takes:", "middle_c: C3\ntakes:"));
    Path out = folder.resolve("off");
    BuildOrder order = new BuildOrder(off, out, null, null, true, "", path -> path);
    ReportedBuild.run(order, progress -> {}, () -> false, false);
    browser.open(out.resolve("report/index.html"), "attention");
    String said = browser.text(".doubts");
    assertTrue(said.contains("off.yaml:3: middle_c may not be right"), said);
    assertTrue(
        said.contains("Set middle_c: C4 or write notes: A2..E3, either of which would fit."), said);
    browser.open(page, "attention");
    browser.find("#item-0");
    assertTrue(browser.all(".doubts").isEmpty());
  }

  @Test
  void verdictsAndWhatItIsAreEntries() throws IOException {
    IndexRow retake = first(CellStatus.RETAKE);
    browser.open(page, "sample-" + rows.indexOf(retake));
    browser.find("[data-decide='this one instead']").click();
    IndexRow wrong = first(CellStatus.KEPT);
    browser.open(page, "sample-" + rows.indexOf(wrong));
    browser.find("[data-decide='wrong note']").click();
    IndexRow other = rows.get(rows.indexOf(wrong) + 1);
    browser.open(page, "sample-" + rows.indexOf(other));
    browser.find(".identity summary").click();
    browser.run("document.querySelector('[data-is=\"note\"]').value = 'B3'");
    browser.find("#set-identity").click();
    List<Fix> fixes = decided();
    assertEquals(3, fixes.size());
    assertEquals(1, fixes.stream().filter(f -> f.correction().verdict() == Verdict.KEEP).count());
    assertEquals(1, fixes.stream().filter(f -> f.correction().verdict() == Verdict.DROP).count());
    assertEquals(1, fixes.stream().filter(f -> f.namesWhatItIs() && f.cell().midi() == 59).count());
    browser.find("#download").click();
    Path downloaded = folder.resolve("decisions.yaml");
    browser.until("the download", () -> Files.exists(downloaded));
    assertEquals(browser.find("#lines").getDomProperty("value"), Files.readString(downloaded));
  }
}
