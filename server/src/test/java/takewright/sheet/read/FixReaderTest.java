package takewright.sheet.read;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Place;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.cell.CellName;
import takewright.sheet.decision.Correction;
import takewright.sheet.decision.FadeTimes;
import takewright.sheet.decision.Fix;
import takewright.sheet.decision.LoopChoice;
import takewright.sheet.decision.Verdict;

/** The key `fixes` of a take, and the same entries in a file of decisions. */
class FixReaderTest {
  private static final String SHEET =
      """
      library: Larkfell
      takes:
        - {file: b.wav, articulation: tap, kind: unpitched, round_robins: 3}
        - file: a.wav
          articulation: sustain
          notes: F3..G5
          dynamics: [p, f]
          round_robins: 2
      """;

  @TempDir Path folder;

  private Sheet read(String fixes) throws IOException {
    return SheetReader.read(Files.writeString(folder.resolve("sheet.yaml"), SHEET + fixes));
  }

  private DecisionsReader.DecidedSheet decided(String fixes, String decisions) throws IOException {
    return DecisionsReader.read(
        read(fixes), Files.writeString(folder.resolve("decisions.yaml"), decisions));
  }

  private static List<Fix> fixes(Sheet sheet) {
    return sheet.takes().get(1).fixes();
  }

  private static Correction bounds(Double startS, Double endS) {
    return new Correction(startS, endS, null, null, null, null, null, FadeTimes.USUAL, Set.of());
  }

  private static Correction verdict(Verdict verdict) {
    return new Correction(null, null, verdict, null, null, null, null, FadeTimes.USUAL, Set.of());
  }

  @Test
  void everyKeyIsRead() throws IOException {
    List<Fix> fixes =
        fixes(
            read(
                """
                    fixes:
                      - {at: 96.27, note: G5, dynamic: f, rr: 2}
                      - {at: "1:02.5", start_s: "1:02.481", end_s: 65.2}
                      - {at: 12.5, cents: -3, gain_db: 1.5}
                      - {at: 20.1, loop_s: [21.25, 22.4]}
                      - {at: 20.1, loop: no}
                      - {at: 31.0, cleaning_db: 12}
                      - {at: 44.0, accept: [out_of_tune, level_limit]}
                      - {note: F3, dynamic: f, rr: 1, accept: missing}
                      - {at: 50.2, keep: yes}
                      - {at: 51, drop: yes}
                      - {at: 52, drop: no}
                """));
    assertEquals(
        List.of(
            new Fix(
                new Place("sheet.yaml", 10, "fixes"),
                96.27,
                new CellName(79, "f", 2),
                false,
                Correction.NONE),
            fix(11, 62.5, bounds(62.481, 65.2)),
            fix(
                12,
                12.5,
                new Correction(null, null, null, -3.0, 1.5, null, null, FadeTimes.USUAL, Set.of())),
            fix(13, 20.1, loop(new LoopChoice(true, 21.25, 22.4))),
            fix(14, 20.1, loop(LoopChoice.NONE)),
            fix(
                15,
                31.0,
                new Correction(
                    null, null, null, null, null, null, 12.0, FadeTimes.USUAL, Set.of())),
            fix(
                16,
                44.0,
                new Correction(
                    null,
                    null,
                    null,
                    null,
                    null,
                    null,
                    null,
                    FadeTimes.USUAL,
                    Set.of(Flag.OUT_OF_TUNE, Flag.LEVEL_LIMIT))),
            new Fix(
                new Place("sheet.yaml", 17, "fixes"),
                null,
                new CellName(53, "f", 1),
                true,
                Correction.NONE),
            fix(18, 50.2, verdict(Verdict.KEEP)),
            fix(19, 51.0, verdict(Verdict.DROP)),
            fix(20, 52.0, verdict(Verdict.AS_HEARD))),
        fixes);
  }

  private static Fix fix(int line, double atS, Correction correction) {
    return new Fix(new Place("sheet.yaml", line, "fixes"), atS, CellName.ANY, false, correction);
  }

  private static Correction loop(LoopChoice loop) {
    return new Correction(null, null, null, null, null, loop, null, FadeTimes.USUAL, Set.of());
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "{cents: 3}|names no region",
        "{at: 3}|corrects nothing",
        "{note: F3}|corrects nothing",
        "{at: 3, accept: missing}|accepts as missing what is there",
        "{note: F3, accept: missing, cents: 3}|corrects a cell that stays empty",
        "{at: 3, start_s: 5, end_s: 4}|ends before it begins",
        "{at: 3, keep: yes, drop: yes}|`drop` and `keep` are both given",
        "{at: 3, loop: yes, loop_s: [1, 2]}|`loop_s` and `loop` are both given",
        "{at: 3, loop_s: [2, 1]}|`loop_s` is not two times",
        "{at: 3, loop_s: [2]}|`loop_s` is not two times",
        "{at: 3, note: H9}|`note`",
        "{at: x, cents: 3}|`at` holds \"x\", which is not a time in the take",
        "{at: 3, cents: 1300}|`cents` is 1300, which is out of range",
        "{at: 3, accept: loud}|`accept` is \"loud\"",
        "{at: 3, cent: 3}|`cent` is not a key of a fix; did you mean `cents`?",
      })
  void whatCannotBeMeantIsRefused(String fix, String says) {
    SheetException e =
        assertThrows(SheetException.class, () -> read("    fixes:\n      - " + fix + "\n"));
    assertTrue(e.getMessage().contains(says), e.getMessage());
    assertEquals(10, e.line());
  }

  @Test
  void decisionsComeBehindTheSheetsOwnFixes() throws IOException {
    DecisionsReader.DecidedSheet decided =
        decided(
            "    fixes: [{at: 12.5, cents: -3}]\n",
            """
            takes:
              - file: a.wav
                fixes:
                  - {at: 12.5, cents: 4}
              - {file: b.wav, articulation: tap, fixes: [{rr: 2, drop: yes}]}
            """);
    assertEquals(List.of(), decided.warnings());
    List<Fix> fixes = fixes(decided.sheet());
    assertEquals(List.of(-3.0, 4.0), fixes.stream().map(f -> f.correction().cents()).toList());
    assertEquals(new Place("decisions.yaml", 4, "fixes"), fixes.get(1).place());
    assertEquals(new CellName(null, null, 2), decided.sheet().takes().get(0).fixes().get(0).cell());
  }

  @Test
  void decisionsMayBeJson() throws IOException {
    String json =
        "{\"takes\": [{\"file\": \"a.wav\", \"fixes\": ["
            + "{\"at\": 12.5, \"keep\": true}, {\"at\": \"1:02.5\", \"loop\": false}]}]}\n";
    assertEquals(
        List.of(verdict(Verdict.KEEP), loop(LoopChoice.NONE)),
        fixes(decided("", json).sheet()).stream().map(Fix::correction).toList());
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      nullValues = "-",
      value = {"''", "{}", "takes: []", "'takes: [{file: a.wav, fixes: []}]'"})
  void withoutADecisionTheSheetIsAsItWas(String decisions) throws IOException {
    DecisionsReader.DecidedSheet decided = decided("", decisions);
    assertEquals(List.of(), decided.warnings());
    assertEquals(List.of(), fixes(decided.sheet()));
  }

  @Test
  void decisionsAboutATakeThatTheSheetLacksAreSaid() throws IOException {
    DecisionsReader.DecidedSheet decided =
        decided("", "takes:\n  - {file: aa.wav, fixes: [{at: 1, cents: 3}]}\n");
    assertEquals(List.of(), fixes(decided.sheet()));
    assertEquals(
        List.of(
            "decisions.yaml:2: `file` names the take aa.wav, which the sheet does not have; did"
                + " you mean a.wav?"),
        decided.warnings().stream().map(w -> w.problem().text()).toList());
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "- a|is not a file of decisions",
        "library: a|`library` is not a key of a file of decisions",
        "takes: [{fixes: [{at: 1, cents: 3}]}]|`file` is missing",
        "takes: [{file: a.wav, fixes: [{at: 1, cents: x}]}]|`cents` is \"x\"",
        "takes: [|is not closed",
      })
  void whatIsNoFileOfDecisionsIsRefused(String text, String says) {
    SheetException e = assertThrows(SheetException.class, () -> decided("", text + "\n"));
    assertTrue(e.getMessage().startsWith("decisions.yaml:"), e.getMessage());
    assertTrue(e.getMessage().contains(says), e.getMessage());
  }

  @Test
  void whatIsAcceptedAsMissingIsNotAskedFor() throws IOException {
    Sheet sheet =
        read("    fixes: [{note: F3, dynamic: f, accept: missing}, {note: G3, accept: missing}]\n");
    int all = read("").cells().size();
    assertEquals(all - 2 - 4, sheet.cells().size());
    assertTrue(
        sheet.cells().stream()
            .noneMatch(
                cell ->
                    cell.midi() != null
                        && (cell.midi() == 55 || cell.midi() == 53 && cell.dynamic().equals("f"))));
  }

  /** Of several takes in one file each gets what lies in it. */
  @Test
  void decisionsGoToTheTakeThatHoldsTheirTimeOrCell() throws IOException {
    String sheet =
        """
        library: Larkfell
        takes:
          - {file: a.wav, between: [0, 60], articulation: long, notes: A3..B3}
          - {file: a.wav, between: [60, 120], articulation: short, notes: C4..D4}
        """;
    String decisions =
        "takes: [{file: a.wav, fixes: [{at: 70, cents: 1}, {at: 10, cents: 2}, {note: C4, cents: 3},"
            + " {at: 200, cents: 4}]}, {file: a.wav, articulation: short, fixes: [{at: 3, cents:"
            + " 5}]}]\n";
    Sheet decided =
        DecisionsReader.read(
                SheetReader.read(Files.writeString(folder.resolve("sheet.yaml"), sheet)),
                Files.writeString(folder.resolve("decisions.yaml"), decisions))
            .sheet();
    assertEquals(
        List.of(List.of(2.0, 4.0), List.of(1.0, 3.0, 5.0)),
        decided.takes().stream()
            .map(take -> take.fixes().stream().map(fix -> fix.correction().cents()).toList())
            .toList());
  }
}
