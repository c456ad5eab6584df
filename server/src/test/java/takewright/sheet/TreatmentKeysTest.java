package takewright.sheet;

import static org.junit.jupiter.api.Assertions.assertEquals;
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

/** The keys of a sheet for tuning, levels, loops and lengths. */
class TreatmentKeysTest {
  private static final String TAKE =
      "library: Larkfell\ntakes:\n  - file: a.wav\n    articulation: sustain\n    notes: A4\n";

  @TempDir Path folder;

  private Sheet read(String more) throws IOException {
    return SheetReader.read(Files.writeString(folder.resolve("sheet.yaml"), TAKE + more));
  }

  @Test
  void whatIsNotSaidIsUsual() throws IOException {
    Sheet sheet = read("");
    assertEquals(TuningRules.DEFAULTS, sheet.tuning());
    assertEquals(LevelRules.DEFAULTS, sheet.levels());
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
    Temperament just = sheet.tuning().temperament();
    assertEquals(386.314, 400 + just.cents(66) - just.cents(62), 0.001, "F# over D");
    assertEquals(0, just.cents(69), 1e-12);
    assertEquals(45, sheet.tuning().limitCents());
    assertTrue(sheet.tuning().steadyPitch());
    assertEquals(new LevelRules(LevelRules.GainPlace.METADATA, 3), sheet.levels());
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
    assertEquals(LevelRules.GainPlace.OFF, read("levels: {gain: off}\n").levels().gain());
  }

  @Test
  void aTableOfOffsetsIsRead() throws IOException {
    Sheet sheet = read("tuning:\n  offsets_cents: [0, 1, 2, 3, 4, -5, 6, 7, 8.5, 9, 10, 11]\n");
    assertEquals(-5, sheet.tuning().temperament().cents(65));
    assertEquals(8.5, sheet.tuning().temperament().cents(68));
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "tuning: {temperament: werckmeister}|:6: `temperament` must be one of equal, pythagorean,",
        "tuning: {offsets_cents: [1, 2]}|:6: `offsets_cents` must hold twelve numbers",
        "tuning: {offsets_cents: [x, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]}|:6: `offsets_cents` must",
        "tuning: {temperament: just, temperament_root: H}|:6: `temperament_root` must be a note",
        "tuning: {temperament_root: D}|:6: `temperament_root` goes with `temperament`",
        "tuning: {limit_cents: -1}|:6: `limit_cents` must be a number from 0 to 1200 cents",
        "tuning: {steady_pitch: 3}|:6: `steady_pitch` must be one of yes, no",
        "tuning: {steady_pitc: yes}|:6: unknown key `steady_pitc`; did you mean `steady_pitch`?",
        "levels: {gain: on}|:6: `gain` must be one of file, metadata, off",
        "levels: {max_db: 25}|:6: `max_db` must be a number from 0 to 24 dB",
        "levels: {max: 25}|:6: unknown key `max`; did you mean `max_db`?",
        "loop: maybe|:6: `loop` must be one of yes, no",
        "'    tune: 1300'|:6: `tune` must be yes, no, or how far",
        "'    tune: sharp'|:6: `tune` must be yes, no, or how far",
        "'  - {file: b.wav, articulation: h, kind: unpitched, tune: yes}'|:6: `tune: yes` needs",
        "'  - {file: b.wav, articulation: h, kind: unpitched, loop: yes}'|:6: `loop: yes` goes"
            + " with",
      })
  void refused(String line, String message) {
    SheetException e = assertThrows(SheetException.class, () -> read(line + "\n"));
    assertTrue(e.getMessage().startsWith("sheet.yaml" + message), e.getMessage());
  }
}
