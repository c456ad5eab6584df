package takewright.denoise;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.Random;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.denoise.room.NoiseProfile;

/** A machine that hums beside the notes, and turns too unevenly for mains hum; all invented. */
class MachineTonesTest {
  private static final int RATE = 48000;
  private static final int FRAMES = 30 * RATE;
  private static final int EVERY = 5 * RATE / 2;

  /** The middle of the tones; the first lies in the main lobe of the short notes' partial. */
  private static final double[] TONES_HZ = {205.3, 331.7, 612.4};

  /** Tones whose phase strays by about a radian in a second, each of an RMS level in dBFS. */
  private static float[] machine(double dbfs) {
    float[] x = new float[FRAMES];
    Random random = new Random(5);
    double amplitude = Math.sqrt(2) * Math.pow(10, dbfs / 20);
    for (double hz : TONES_HZ) {
      double phase = 0;
      double stray = 0;
      for (int i = 0; i < FRAMES; i++) {
        if (i % 4800 == 0) {
          stray = 0.9 * stray + 0.04 * random.nextGaussian();
        }
        phase += 2 * Math.PI * (hz + stray) / RATE;
        x[i] += (float) (amplitude * Math.sin(phase));
      }
    }
    return x;
  }

  private static float[] room(double tonesDbfs) {
    return Noise.sum(machine(tonesDbfs), Noise.pink(FRAMES, -75, 9));
  }

  /** Notes of a quarter of a second on 200 Hz. */
  private static float[] shortNotes() {
    float[] x = new float[FRAMES];
    for (int at = 2 * RATE; at + RATE < FRAMES; at += EVERY) {
      Noise.pluck(x, at, RATE / 4, 200, RATE);
      for (int i = 0; i < 960; i++) {
        x[at + RATE / 4 - 960 + i] *= 1 - i / 960f;
      }
    }
    return x;
  }

  private static NoiseProfile profile(float[] room) {
    return Noise.profile(RATE, Arrays.copyOf(room, 20 * RATE));
  }

  @Test
  void findsTheTonesThatStray() {
    double[] found = profile(room(-55)).tonesHz().clone();
    Arrays.sort(found);
    assertEquals(TONES_HZ.length, found.length, Arrays.toString(found));
    for (int i = 0; i < found.length; i++) {
      assertEquals(TONES_HZ[i], found[i], 0.3);
    }
    assertEquals(0, profile(Noise.pink(FRAMES, -60, 4)).tonesHz().length);
  }

  /** What is subtracted as mains hum is gone, and would be taken from the notes otherwise. */
  @Test
  void takesNoMainsHumForATone() {
    float[] room = room(-55);
    for (int i = 0; i < FRAMES; i++) {
      double t = (double) i / RATE;
      room[i] +=
          (float) (3e-3 * Math.sin(2 * Math.PI * 50 * t) + 2e-3 * Math.sin(2 * Math.PI * 150 * t));
    }
    NoiseProfile profile = profile(room);
    assertEquals(50, profile.humHz(), 0.05);
    double[] found = profile.tonesHz();
    Arrays.sort(found);
    assertEquals(TONES_HZ.length, found.length, Arrays.toString(found));
    assertEquals(TONES_HZ[0], found[0], 0.3);
  }

  /** A resonance of 8 Hz is a peak, but no tone: its phase is lost within a third of a second. */
  @Test
  void takesNoRumbleForATone() {
    float[] noise = Noise.white(FRAMES, -40, 8);
    float[] room = Noise.pink(FRAMES, -70, 6);
    double radius = 1 - Math.PI * 8 / RATE;
    double b = 2 * radius * Math.cos(2 * Math.PI * 300 / RATE);
    double last = 0;
    double lastButOne = 0;
    for (int i = 0; i < FRAMES; i++) {
      double y = 1e-4 * noise[i] + b * last - radius * radius * lastButOne;
      lastButOne = last;
      last = y;
      room[i] += (float) y;
    }
    assertTrue(Noise.level(room, 0, FRAMES) > -65, "the resonance is heard");
    assertEquals(0, profile(room).tonesHz().length);
  }

  /** Under a partial no gain can tell the tone from the note. */
  @Test
  void takesAToneFromUnderAShortNote() {
    float[] clean = shortNotes();
    float[] take = Noise.sum(clean, room(-50));
    float[] result = cleaned(take);
    double gain = 0;
    int notes = 0;
    for (int at = 2 * RATE; at + RATE < FRAMES; at += EVERY) {
      gain +=
          Noise.difference(take, clean, at, at + RATE / 4)
              - Noise.difference(result, clean, at, at + RATE / 4);
      notes++;
    }
    assertTrue(gain / notes > 8, "nearer the clean notes by " + gain / notes + " dB");
  }

  /** Three held notes of one frequency, four seconds each. */
  private static float[] heldNotes(double hz) {
    float[] x = new float[FRAMES];
    for (int n = 0; n < 3; n++) {
      for (int i = 0; i < 4 * RATE; i++) {
        double edge = Math.min(1, Math.min(i, 4 * RATE - i) / 960.0);
        x[(4 + 8 * n) * RATE + i] = (float) (0.1 * edge * Math.sin(2 * Math.PI * hz * i / RATE));
      }
    }
    return x;
  }

  private static float[] cleaned(float[] take) {
    return Denoise.apply(Clip.of(RATE, take), DenoiseSettings.DEFAULTS).audio().channel(0);
  }

  /** The tone is not heard alone for four seconds: the note on it is not taken for it. */
  @Test
  void leavesAHeldNoteOnTheToneAlone() {
    float[] clean = heldNotes(TONES_HZ[1]);
    float[] result = cleaned(Noise.sum(clean, room(-55)));
    for (int n = 0; n < 3; n++) {
      int from = (4 + 8 * n) * RATE;
      assertEquals(
          Noise.level(clean, from, from + 4 * RATE),
          Noise.level(result, from, from + 4 * RATE),
          0.2);
    }
  }

  /** With a tone 9 Hz beside its partial, in the same main lobe of a frame. */
  @Test
  void takesAToneOutFromBesideAHeldNote() {
    float[] clean = heldNotes(TONES_HZ[1] + 9);
    float[] take = Noise.sum(clean, room(-55));
    float[] result = cleaned(take);
    for (int n = 0; n < 3; n++) {
      int from = (5 + 8 * n) * RATE;
      double gain =
          Noise.difference(take, clean, from, from + 2 * RATE)
              - Noise.difference(result, clean, from, from + 2 * RATE);
      assertTrue(gain > 20, "nearer the clean note by " + gain + " dB");
    }
  }
}
