package takewright.sheet.read;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.map.ModWheel;
import takewright.map.RoundRobins;
import takewright.sheet.MapRules;
import takewright.sheet.SheetException;

class MapReaderTest {
  private static MapRules read(String map) throws SheetException {
    String sheet =
        """
        library: Larkfell
        map: %s
        takes:
          - {file: a.wav, articulation: held, notes: G3..A3}
        """;
    return SheetReader.read(Path.of("sheet.yaml"), sheet.formatted(map)).map();
  }

  @Test
  void whatIsNotGivenIsAsItUsuallyIs() throws SheetException {
    assertEquals(MapRules.DEFAULTS, read("{reach_semitones: 4}"));
    assertEquals(ModWheel.DEFAULT, read("{reach_semitones: 4}").dls().modWheel());
  }

  @Test
  void everyKeyIsRead() throws SheetException {
    MapRules rules =
        read(
            "{mod_wheel: {from_hz: 300, resonance_db: 6}, reverb_percent: 20, round_robins_as:"
                + " banks, templates: [{file: t/a.mustache, out: \"{layer}.xml\"}]}");
    assertEquals(new ModWheel(300, 600, 6), rules.dls().modWheel());
    assertEquals(20, rules.dls().reverbPercent());
    assertEquals(RoundRobins.BANKS, rules.dls().roundRobins());
    assertEquals(Path.of("t/a.mustache").toAbsolutePath(), rules.templates().get(0).file());
    assertTrue(rules.templates().get(0).isMarkup());
    assertNull(read("{mod_wheel: no}").dls().modWheel());
    assertEquals(List.of(), read("{mod_wheel: no}").templates());
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "{mod_wheel: maybe} | `mod_wheel` is \"maybe\", and must be a mapping",
        "{mod_wheel: {from_hz: 100}} | `from_hz` is 100, which is out of range",
        "{mod_wheel: {from_hz: 600}} | `mod_wheel` has the same cutoff at both ends",
        "{mod_wheel: {form_hz: 600}} | did you mean `from_hz`?",
        "{velocity: loud} | `velocity` is \"loud\", and must be one of even, loudness",
        "{round_robins_as: random} | must be one of first, banks",
        "{templates: [{file: a}]} | `out` is missing",
        "{templates: [{file: a, out: ../a.txt}]} | which is not the name of a file",
        "{templates: [{file: a, out: .a.txt}]} | which is not the name of a file",
        "{templates: [{file: a, out: '{note}.txt'}]} | which is not the name of a file",
        "{templates: [{file: a, out: Map.csv}]} | a name that a build uses itself",
        "{templates: [{file: a, out: a.wav}]} | a name that a build uses itself",
        "{templates: [{file: a, out: a.txt}, {file: b, out: A.txt}]} | which another template makes too",
      })
  void whatIsWrongIsSaid(String map, String says) {
    SheetException refused = assertThrows(SheetException.class, () -> read(map));
    assertTrue(refused.getMessage().contains(says), refused.getMessage());
  }
}
