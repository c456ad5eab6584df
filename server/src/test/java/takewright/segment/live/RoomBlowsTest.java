package takewright.segment.live;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/**
 * Blows in a computed room before a computed note of ten partials, over which one falls as well.
 */
class RoomBlowsTest {
  private static final int RATE = 48_000;
  private static final int NOTE_S = 8;
  private static final double BLOW_S = 8.6;
  private static final long[][] NONE = {};

  /** A room of eight seconds with a blow each half second, as loud as said, and the note. */
  private static float[] take(double loud) {
    SplittableRandom random = new SplittableRandom(4);
    float[] x = new float[10 * RATE];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (0.0005 * (2 * random.nextDouble() - 1));
    }
    for (int i = NOTE_S * RATE; i < x.length; i++) {
      for (int k = 1; k <= 10; k++) {
        x[i] += (float) (0.1 / k * Math.sin(2 * Math.PI * 220 * k * i / RATE));
      }
    }
    for (double at = 0.3; at < NOTE_S - 0.2; at += 0.5) {
      blow(x, at, loud, random);
    }
    blow(x, BLOW_S, 0.05, random);
    return x;
  }

  private static void blow(float[] x, double atS, double loud, SplittableRandom random) {
    for (int i = 0; i < RATE / 50; i++) {
      double fade = loud * Math.exp(-i / (0.002 * RATE));
      x[(int) (atS * RATE) + i] += (float) (fade * (2 * random.nextDouble() - 1));
    }
  }

  private static RoomBlows.PauseBlows before(
      float[] x, double startS, double keptS, long[][] sounds) {
    LastSeconds last = new LastSeconds(30, RATE);
    last.add(new float[][] {x}, x.length);
    return new RoomBlows(RATE).before(last, frame(BLOW_S), frame(startS), frame(keptS), sounds);
  }

  private static long frame(double seconds) {
    return (long) (seconds * RATE);
  }

  @Test
  void blowsOfTheRoomAreHeardInThePauseBefore() {
    RoomBlows.PauseBlows found = before(take(0.05), NOTE_S, 0, NONE);
    assertEquals(7.8, found.seconds(), 0.01);
    assertTrue(found.count() >= 12 && found.count() <= 16, found.toString());
    assertTrue(found.areUsual());
    assertFalse(found.areNone());
  }

  @Test
  void whatIsFarSofterThanTheBlowOverTheNoteIsNoSuchBlow() {
    RoomBlows.PauseBlows found = before(take(0.01), NOTE_S, 0, NONE);
    assertTrue(found.areNone(), found.toString());
    assertFalse(found.areUsual());
  }

  @Test
  void blowsInOtherSoundsAreNoneOfTheRoom() {
    float[] x = take(0.05);
    long[][] most = {{frame(0), frame(3)}, {frame(3.5), frame(7)}};
    RoomBlows.PauseBlows found = before(x, NOTE_S, 0, most);
    assertEquals(0.8 + 0.3, found.seconds(), 0.01);
    assertTrue(found.count() >= 1 && found.count() <= 3, found.toString());
    // What goes on over the note's beginning leaves no pause there.
    long[][] over = {{frame(0), frame(3)}, {frame(7), frame(8.5)}};
    assertEquals(3.8, before(x, NOTE_S, 0, over).seconds(), 0.01);
  }

  @Test
  void onlyWhatIsKeptIsHeardAndTenSecondsOfIt() {
    float[] x = take(0.05);
    assertEquals(0.8, before(x, NOTE_S, 7, NONE).seconds(), 0.01);
    assertEquals(0, before(x, NOTE_S, NOTE_S, NONE).seconds());
    assertEquals(0, before(x, NOTE_S, 9, NONE).seconds());
    assertEquals(10, before(new float[20 * RATE], 19, 0, NONE).seconds(), 0.01);
  }

  @Test
  void atTheBeginningOfATakeNothingIsKnown() {
    float[] x = take(0.05);
    for (double start : new double[] {0, 0.1, 0.2, 0.21}) {
      RoomBlows.PauseBlows found = before(x, start, 0, NONE);
      assertEquals(0, found.count(), "" + start);
      assertFalse(found.areNone() || found.areUsual(), "" + start);
    }
    assertFalse(before(new float[RATE], 0.5, 0, NONE).areUsual(), "silence");
  }

  @Test
  void fewOrRareBlowsAreNotUsual() {
    assertFalse(new RoomBlows.PauseBlows(1, 1).areUsual());
    assertTrue(new RoomBlows.PauseBlows(2, 4).areUsual());
    assertFalse(new RoomBlows.PauseBlows(3, 6.1).areUsual());
    assertTrue(new RoomBlows.PauseBlows(0, 2.5).areNone());
    assertFalse(new RoomBlows.PauseBlows(0, 2.4).areNone());
    assertFalse(new RoomBlows.PauseBlows(1, 10).areNone());
  }
}
