package takewright.sheet.read;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.retune.Temperament;
import takewright.sheet.Cutting;
import takewright.sheet.LevelRules;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.Take;
import takewright.sheet.TakeRules;
import takewright.sheet.Treatment;
import takewright.sheet.TuningRules;

/** The keys of a sheet for tuning, levels, loops and lengths. */
class TreatmentKeysTest {
  private static final String TAKE =
      "library: Larkfell\ntakes:\n  - file: a.wav\n    articulation: sustain\n    notes: A4\n";

  @TempDir Path folder;

  private Sheet read(String more) throws IOException {
    return SheetReader.read(Files.writeString(folder.resolve("sheet.yaml"), TAKE + more));
  }

  private static TakeRules rules(Sheet sheet) {
    return sheet.takes().get(0).rules();
  }

  /** A take says otherwise than the sheet key by key. */
  @Test
  void aTakeHasRulesOfItsOwn() throws IOException {
    Sheet sheet =
        read(
            """
                cutting: {start_db: 20, min_gap_ms: 100}
                cleaning: {amount_db: 12}
                tuning: {limit_cents: 30}
                levels: {strength: 0.5}
              - {file: b.wav, articulation: b, notes: A4, cleaning: no, cutting: {end_db: 6}}
              - {file: c.wav, articulation: c, notes: A4}
            cutting: {end_db: 5, min_length_ms: 80}
            cleaning: {amount_db: 18}
            tuning: {temperament: just, limit_cents: 45}
            levels: {max_db: 3}
            """);
    TuningRules tuning = sheet.takes().get(2).rules().tuning();
    LevelRules levels = new LevelRules(LevelRules.GainPlace.FILE, 3, 1);
    assertEquals(45, tuning.limitCents());
    assertEquals(
        List.of(
            new TakeRules(
                new Cutting(false, 20.0, 5.0, 100.0, 80.0, false),
                12,
                new TuningRules(tuning.temperament(), 30, false),
                new LevelRules(LevelRules.GainPlace.FILE, 3, 0.5)),
            new TakeRules(new Cutting(false, null, 6.0, null, 80.0, false), 0, tuning, levels),
            new TakeRules(new Cutting(false, null, 5.0, null, 80.0, false), 18, tuning, levels)),
        sheet.takes().stream().map(Take::rules).toList());
  }

  @Test
  void notesThatRingIntoTheNextAreSaidToDoSoTakeByTake() throws IOException {
    assertFalse(rules(read("")).cutting().letRing());
    assertTrue(rules(read("    let_ring: yes\n")).cutting().letRing());
    Cutting both = rules(read("    let_ring: yes\n    cutting: {end_db: 5}\n")).cutting();
    assertEquals(new Cutting(false, null, 5.0, null, null, true), both);
  }

  @Test
  void aRegionCannotEndAboveWhereItStarts() {
    SheetException e =
        assertThrows(SheetException.class, () -> read("    cutting: {end_db: 10}\n"));
    assertTrue(
        e.getMessage().contains("`end_db` makes a region end above where it starts, at 9 dB"),
        e.getMessage());
  }

  @Test
  void whatIsNotSaidIsUsual() throws IOException {
    Sheet sheet = read("");
    assertEquals(TakeRules.DEFAULTS, rules(sheet));
    assertEquals(new Treatment(true, null, true, false, false), sheet.takes().get(0).treatment());
  }

  @Test
  void everyKeyIsRead() throws IOException {
    Sheet sheet =
        read(
            """
                tune: -12.5
                loop: yes
                trim_round_robins: yes
              - {file: b.wav, articulation: harmonics, notes: [A4]}
              - {file: c.wav, articulation: harmonics 2, notes: [A4], tune: yes, loop: no}
              - {file: d.wav, articulation: slide, kind: glide, notes: [A4], tune: yes}
              - {file: e.wav, articulation: hit, kind: unpitched}
            tuning: {temperament: just, temperament_root: D, limit_cents: 45, steady_pitch: yes}
            levels: {gain: metadata, max_db: 3}
            """);
    Temperament just = rules(sheet).tuning().temperament();
    assertEquals(386.314, 400 + just.cents(66) - just.cents(62), 0.001, "F# over D");
    assertEquals(0, just.cents(69), 1e-12);
    assertEquals(45, rules(sheet).tuning().limitCents());
    assertTrue(rules(sheet).tuning().steadyPitch());
    assertEquals(new LevelRules(LevelRules.GainPlace.METADATA, 3, 1), rules(sheet).levels());
    assertEquals(
        List.of(
            new Treatment(false, -12.5, true, true, true),
            new Treatment(false, null, true, false, false),
            new Treatment(true, null, false, false, false),
            new Treatment(true, null, false, false, false),
            new Treatment(false, null, false, false, false)),
        sheet.takes().stream().map(Take::treatment).toList());
  }

  @Test
  void theSheetSpeaksForItsTakes() throws IOException {
    Sheet sheet = read("  - {file: b.wav, articulation: x, notes: A4, loop: yes}\nloop: no\n");
    assertEquals(false, sheet.takes().get(0).treatment().looped());
    assertEquals(true, sheet.takes().get(1).treatment().looped());
    assertEquals(LevelRules.GainPlace.OFF, rules(read("levels: {gain: off}\n")).levels().gain());
  }

  @Test
  void aTableOfOffsetsIsRead() throws IOException {
    Sheet sheet = read("tuning:\n  offsets_cents: [0, 1, 2, 3, 4, -5, 6, 7, 8.5, 9, 10, 11]\n");
    assertEquals(-5, rules(sheet).tuning().temperament().cents(65));
    assertEquals(8.5, rules(sheet).tuning().temperament().cents(68));
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "tuning: {temperament: werckmeister}|:6: `temperament` is "
            + "\"werckmeister\", and must be one of equal, pythagorean, "
            + "quarter_comma_meantone, werckmeister_3, kirnberger_3, vallotti, just;",
        "tuning: {offsets_cents: [1, 2]}|:6: `offsets_cents` holds 2 numbers; give "
            + "twelve, the cents that C, C#, D, ... B lie above equal temperament",
        "tuning: {offsets_cents: [x, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]}|:6: "
            + "`offsets_cents` holds something that is not a number; give twelve "
            + "numbers, from C to B",
        "tuning: {temperament: just, temperament_root: H}|:6: `temperament_root` "
            + "is not a note without octave: \"H\"; give one such as D or Eb",
        "tuning: {temperament_root: D}|:6: `temperament_root` needs `temperament`; "
            + "add that or leave this out",
        "tuning: {limit_cents: -1}|:6: `limit_cents` is -1, which is out of range; "
            + "give a number from 0 to 1200 cents",
        "tuning: {steady_pitch: 3}|:6: `steady_pitch` is \"3\", and must be one of "
            + "yes, no, true, false; write one of them",
        "tuning: {steady_pitc: yes}|:6: `steady_pitc` is not a key of `tuning`; "
            + "did you mean `steady_pitch`?",
        "levels: {gain: on}|:6: `gain` is \"on\", and must be one of file, "
            + "metadata, off; write one of them",
        "levels: {max_db: 25}|:6: `max_db` is 25, which is out of range; give a "
            + "number from 0 to 24 dB",
        "levels: {max: 25}|:6: `max` is not a key of `levels`; did you mean " + "`max_db`?",
        "loop: maybe|:6: `loop` is \"maybe\", and must be one of yes, no, true, "
            + "false; write one of them",
        "'    tune: 1300'|:6: `tune` is \"1300\"; give yes, no, or by how many "
            + "cents all samples are moved, -1200 to 1200",
        "'    tune: sharp'|:6: `tune` is \"sharp\"; give yes, no, or by how many "
            + "cents all samples are moved, -1200 to 1200",
        "'  - {file: b.wav, articulation: h, kind: unpitched, tune: yes}'|:6: "
            + "`tune` needs `notes` to tune to; give how many cents to move the samples, "
            + "or leave it out",
        "'  - {file: b.wav, articulation: h, kind: unpitched, loop: yes}'|:6: "
            + "`loop` is for takes of kind pitched, not unpitched; leave it out"
      })
  void refused(String line, String message) {
    SheetException e = assertThrows(SheetException.class, () -> read(line + "\n"));
    assertTrue(e.getMessage().startsWith("sheet.yaml" + message), e.getMessage());
  }
}
