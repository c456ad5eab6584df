package takewright.sheet.read;

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
import takewright.layer.Effect;
import takewright.layer.RoomShape;
import takewright.map.MapSettings;
import takewright.map.VelocityRule;
import takewright.sheet.Layer;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.Take;

class LayerReaderTest {
  private static final String TAKES =
      """
      library: x
      takes:
        - {file: a.wav, articulation: sustain, notes: A4, tempo_bpm: 60}
        - {file: b.wav, articulation: staccato, notes: A4}
      layers:
        - {name: close}
      """;

  @TempDir Path folder;

  private Sheet read(String more) throws IOException {
    Path file = folder.resolve("sheet.yaml");
    Files.writeString(file, TAKES + more);
    return SheetReader.read(file);
  }

  @Test
  void aRoomAndAChainForEachArticulation() throws IOException {
    Sheet sheet =
        read(
            """
              - {name: hall, room: {length_m: 20, absorption: 0.3}, pre_delay_ms: 15, wet_only: yes}
              - name: fx
                articulations: [sustain]
                gain_db: -3
                chain:
                  - {delay: {note: 1/8, feedback: 0.2}}
                  - {low_shelf: {hz: 200, gain_db: -3}}
                  - {reverse: yes}
                  - {reverse: no}
                  - {saturation: 6}
              - {name: fx, articulations: staccato, chain: [{delay: {note: 1/4t, tempo_bpm: 90}}]}
            map: {reach_semitones: 2, velocity: even, first_key: C1}
            """);
    Take sustain = sheet.takes().get(0);
    Take staccato = sheet.takes().get(1);
    Layer hall = sheet.made(sustain).get(0);
    assertEquals(new RoomShape(20, 9, 5, 0.3), hall.room());
    assertEquals(15, hall.preDelayMs());
    assertTrue(hall.wetOnly());
    assertEquals(-6, hall.gainDb());
    Layer fx = sheet.made(sustain).get(1);
    assertEquals(-3, fx.gainDb());
    assertEquals(
        List.of(
            // An eighth of 60 quarters a minute.
            new Effect.Delay(500, 0.2, null, -6),
            new Effect.Shelf(false, 200, -3),
            new Effect.Reverse(),
            new Effect.Saturation(6)),
        fx.chain().stream().map(link -> link.at(sustain.tempoBpm())).toList());
    Layer other = sheet.made(staccato).get(1);
    assertEquals("fx", other.name());
    Effect.Delay triplet = (Effect.Delay) other.chain().get(0).at(null);
    assertEquals(444.444, triplet.timeMs(), 0.001);
    assertEquals(2, sheet.made(staccato).size());
    assertEquals(new MapSettings(2, VelocityRule.EVEN, 24), sheet.map().keys());
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "{name: b, impulse: x.wav, room: {width_m: 4}}|:7: `room` and `impulse` "
            + "are both given; leave one out",
        "{name: b, room: {width_m: 1}}|:7: `width_m` is 1, which is out of range; "
            + "give a number from 2 to 100 m",
        "{name: b, room: {length_m: 90, width_m: 90, height_m: 90, absorption: "
            + "0.02}}|:7: `absorption` makes the room ring for 120 s, but at most 20 s are allowed;",
        "{name: b, gain_db: 3}|:7: `gain_db` is for layers that are made, not "
            + "recorded; add `impulse`, `room` or `chain`",
        "{name: b, chain: [{gain: 2}], wet_db: 3}|:7: `wet_db` needs `impulse` or "
            + "`room`; add one or leave this out",
        "{name: b, chain: [{delay: {note: 1/8}}]}|:7: `delay` of layer \"b\" lasts "
            + "1/8, but take b.wav has no `tempo_bpm`; give it there or in the delay",
        "{name: b, chain: [{delay: {note: 1/9, tempo_bpm: 90}}]}|:7: `note` is not "
            + "a note value: \"1/9\"; give one such as 1/4, 1/8. (dotted) or 1/8t "
            + "(triplet)",
        "{name: b, chain: [{delay: {note: 1/8, time_ms: 3}}]}|:7: `note` and "
            + "`time_ms` are both given; leave one out",
        "{name: b, chain: [{delay: {note: 1/1, tempo_bpm: 20}}]}|:7: `note` is too "
            + "long or too short at its tempo; choose another note value",
        "{name: b, chain: [{band_pass: {q: 3}}]}|:7: `hz` is missing",
        "{name: b, chain: [{high_shelf: {hz: 300}}]}|:7: `gain_db` is missing",
        "{name: b, chain: [{width: 3}]}|:7: `width` is 3, which is out of range; "
            + "give a number from 0 to 2",
        "{name: close, chain: [{gain: 2}], articulations: sustain}|:7: `layers` "
            + "has \"close\" twice, first on line 6; give it another name, or each its "
            + "own `articulations`"
      })
  void whatIsWrongIsSaidWithItsLine(String layer, String says) {
    SheetException e = assertThrows(SheetException.class, () -> read("  - " + layer + "\n"), says);
    assertTrue(e.getMessage().contains(says), e.getMessage());
  }

  @Test
  void aKeyMapThatCannotBeIsSaidWithItsLine() {
    for (String bad : List.of("{first_key: H2}", "{reach_semitones: 30}", "{velocities: loud}")) {
      SheetException e = assertThrows(SheetException.class, () -> read("map: " + bad + "\n"));
      assertEquals(7, e.line(), e.getMessage());
    }
  }
}
