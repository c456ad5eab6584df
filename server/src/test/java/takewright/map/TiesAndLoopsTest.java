package takewright.map;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.List;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;

/** Which of two roots a key between them plays, and to which frame a loop is played. */
class TiesAndLoopsTest {
  private static final int RATE = 48_000;

  /**
   * Common practice: between two roots as near, the lower one is played, so that its key range goes
   * up as far as down.
   */
  @Test
  void aKeyHalfWayBetweenTwoRootsPlaysTheLower() {
    List<MapSample> samples =
        List.of(
            new MapSample("low", "s", "close", 60, "mf", 1, null, 0, null, null, null),
            new MapSample("high", "s", "close", 64, "mf", 1, null, 0, null, null, null));
    for (int reach : new int[] {2, 4}) {
      KeyMap map = Mapping.apply(samples, new MapSettings(reach, VelocityRule.EVEN, 36));
      List<Zone> zones = map.zones().stream().filter(zone -> zone.answers(62, 100)).toList();
      assertEquals(1, zones.size());
      assertEquals("low", zones.get(0).file());
    }
  }

  /**
   * Both ends of a loop are played (RIFF update of 1994, {@code smpl}): a sine whose period fits
   * the loop goes on as if there were none. A frame left out shifts it by 3.6 degrees each time
   * round.
   */
  @Test
  void aLoopIsPlayedToItsLastFrame() throws IOException {
    float[] x = new float[6000];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (0.2 * Math.sin(2 * Math.PI * i / 100));
    }
    Zone zone =
        new Zone("a", "s", "close", "", 60, 60, 60, 1, 127, 1, 1, 0, 3000L, 3999L, 200, null);
    float[] played =
        Player.apply(
                List.of(zone),
                List.of(new Player.NoteEvent(0, 2, 60, 127)),
                RATE,
                z -> Clip.of(RATE, x).source())
            .audio()
            .channel(0);
    double max = 0;
    for (int i = 2000; i < 90_000; i++) {
      max = Math.max(max, Math.abs(played[i] - 0.2 * Math.sin(2 * Math.PI * i / 100)));
    }
    assertTrue(max < 2e-4, "off by " + max);
  }

  /**
   * Common practice: a hit rings on however short its key is held. Half a second after the key was
   * let go it is as the sample is, less what a release of seconds takes.
   */
  @Test
  void aHitRingsOnAfterItsKey() throws IOException {
    float[] x = new float[2 * RATE];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (0.2 * Math.exp(-i / (1.0 * RATE)) * Math.sin(2 * Math.PI * i / 100));
    }
    MapSample hit = new MapSample("hit", "s", "close", null, "mf", 1, null, 0, null, null, null);
    KeyMap map = Mapping.apply(List.of(hit), new MapSettings(4, VelocityRule.EVEN, 48));
    float[] played =
        Player.apply(
                map.zones(),
                List.of(new Player.NoteEvent(0, 0.05, 48, 127)),
                RATE,
                z -> Clip.of(RATE, x).source())
            .audio()
            .channel(0);
    double sample = 0;
    double heard = 0;
    for (int i = RATE / 2; i < RATE / 2 + 4800; i++) {
      sample += x[i] * x[i];
      heard += played[i] * played[i];
    }
    assertEquals(0, 10 * Math.log10(heard / sample), 8, "dB beside the sample");
  }
}
