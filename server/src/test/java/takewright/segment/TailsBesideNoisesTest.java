package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.pitch.Kind;

/**
 * Notes that die away beside what the room does at the same time. They are computed, so that it is
 * known when they have sunk below it.
 */
class TailsBesideNoisesTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -60;
  private static final int NOTES = 5;

  /** From one note to the next, and for how long each is held, in seconds. */
  private static final double EVERY_S = 4;

  private static final double HELD_S = 1.5;

  /** A held note falls by 60 dB within this, in seconds. */
  private static final double FALLS_S = 0.8;

  /** Its level is -20 dBFS, so that it lies as loud as the room after 2/3 of that. */
  private static final double NOTE_DBFS = -20;

  private static float[] room(double seconds) {
    SplittableRandom random = new SplittableRandom(5);
    float[] x = new float[(int) (seconds * RATE)];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) ((random.nextDouble() * 2 - 1) * Math.sqrt(3) * amplitude(ROOM_DBFS));
    }
    return x;
  }

  private static double amplitude(double dbfs) {
    return Math.pow(10, dbfs / 20);
  }

  private static double onsetS(int note) {
    return 3 + note * EVERY_S;
  }

  private static void addNote(float[] x, int note, double risesS) {
    int from = (int) (onsetS(note) * RATE);
    for (int i = 0; i < EVERY_S * RATE && from + i < x.length; i++) {
      double t = (double) i / RATE;
      double fallen = -60 * Math.max(0, t - HELD_S) / FALLS_S;
      double loud = Math.min(1, t / risesS) * amplitude(NOTE_DBFS + fallen);
      for (int p = 1; p <= 8; p++) {
        x[from + i] += (float) (loud / p * Math.sin(2 * Math.PI * 440 * p * t + p * p));
      }
    }
  }

  /** Adds a burst of 5 ms at 3 kHz. */
  private static void addTick(float[] x, double atS, double amplitude) {
    for (int i = 0; i < 0.005 * RATE; i++) {
      x[(int) (atS * RATE) + i] += (float) (amplitude * Math.sin(2 * Math.PI * 3000 * i / RATE));
    }
  }

  private static void assertEnds(float[] take, double latest) throws IOException {
    assertEnds(take, latest, FALLS_S * 2 / 3);
  }

  /**
   * @param soundsS up to where each note is there once it is no longer held, in seconds
   */
  private static void assertEnds(float[] take, double latest, double soundsS) throws IOException {
    List<Region> kept =
        Segment.apply(Clip.of(RATE, take).source(), SegmentSettings.forKind(Kind.PITCHED))
            .regions()
            .stream()
            .filter(region -> !region.rejected())
            .toList();
    assertEquals(NOTES, kept.size(), "" + kept);
    for (int i = 0; i < NOTES; i++) {
      double sunk = onsetS(i) + HELD_S + soundsS;
      double over = (double) kept.get(i).end() / RATE - sunk;
      assertTrue(over >= 0, "note " + i + " is cut " + -over + " s too early");
      assertTrue(over <= latest, "note " + i + " goes on for " + over + " s");
    }
  }

  private static float[] take() {
    return take(0.01);
  }

  /**
   * @param risesS within which a note comes to its level, in seconds
   */
  private static float[] take(double risesS) {
    float[] take = room(onsetS(NOTES) + 3);
    for (int i = 0; i < NOTES; i++) {
      addNote(take, i, risesS);
    }
    return take;
  }

  /** It comes up again in the bands that the note had, every 0.24 s, and up to the next note. */
  @Test
  void aTickingClockIsNoTail() throws IOException {
    float[] take = take();
    for (double at = 0.1; at < onsetS(NOTES) - 0.1; at += 0.24) {
      addTick(take, at, 0.009);
    }
    assertEnds(take, 1.4);
  }

  /**
   * A car that passes between two notes keeps the region of the first open up to the second, which
   * has no attack to be told by. But the first had died away.
   */
  @Test
  void aNoteThatSwellsBehindACarIsAnother() throws IOException {
    float[] take = take(0.5);
    float[] car = room(onsetS(NOTES));
    for (int i = 0; i < NOTES - 1; i++) {
      for (int k = 0; k < 1.9 * RATE; k++) {
        int at = (int) ((onsetS(i) + HELD_S + 0.9) * RATE) + k;
        double t = (double) k / RATE;
        double loud = Math.min(1, Math.min(t, 1.9 - t) / 0.2);
        take[at] += (float) (loud * 4 * car[(at + RATE) % car.length]);
      }
    }
    assertEnds(take, 1.5);
  }

  /** The room rises by 4 dB for a second and a half behind each note, as a car passes. */
  @Test
  void aRoomThatRisesBehindANoteIsNoTail() throws IOException {
    float[] take = take();
    float[] car = room(onsetS(NOTES));
    for (int i = 0; i < NOTES; i++) {
      for (int k = 0; k < 2 * RATE; k++) {
        int at = (int) ((onsetS(i) + HELD_S) * RATE) + k;
        double t = (double) k / RATE;
        double loud = Math.min(1, Math.min(t, 2 - t) / 0.3);
        take[at] += (float) (loud * 1.2 * car[(at + RATE) % car.length]);
      }
    }
    assertEnds(take, 1.4);
  }

  /**
   * What goes on in a note's own bands once it has died away, 5 dB softer than the room, is its
   * tail: the body of an instrument that the bow has left. It stops at once, 2 s after the note,
   * and is not to be cut off before.
   */
  @Test
  void whatGoesOnInANotesBandsIsItsTail() throws IOException {
    float[] take = take();
    float[] noise = room(onsetS(NOTES) + 3);
    double before = 0;
    double last = 0;
    double square = 0;
    float[] rumble = new float[noise.length];
    for (int i = 0; i < noise.length; i++) {
      // A resonance at 2 kHz, 3 kHz wide.
      double radius = Math.exp(-Math.PI * 3000 / RATE);
      double next =
          noise[(i + RATE) % noise.length]
              + 2 * radius * Math.cos(2 * Math.PI * 2000 / RATE) * last
              - radius * radius * before;
      before = last;
      last = next;
      square += next * next;
      rumble[i] = (float) next;
    }
    double loud = amplitude(ROOM_DBFS - 5) / Math.sqrt(square / noise.length);
    for (int i = 0; i < NOTES; i++) {
      int from = (int) ((onsetS(i) + HELD_S) * RATE);
      for (int k = from; k < from + 2 * RATE; k++) {
        take[k] += (float) (loud * rumble[k]);
      }
    }
    assertEnds(take, 1, 1.8);
  }
}
