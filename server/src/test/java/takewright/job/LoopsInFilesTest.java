package takewright.job;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.testing.Ear;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/**
 * Loops and microphones of a built library, read from the bytes of its files. Two microphones hear
 * one note: the far one a little higher, since the body that it hears sounds on at its own pitch,
 * with its own phase of the vibrato, the note before bleeding in, and noise of its own. All of it
 * is computed.
 */
class LoopsInFilesTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -66;
  private static final double[] HZ = {220, 261.6256, 329.6276};
  private static final double[] DETUNE = {17, -12, 8};

  /** How much higher the far microphone hears the notes, in cents. */
  private static final double FAR_CENTS = 9;

  private static final double NOTE_S = 4;
  private static final double PAUSE_S = 1.6;

  @TempDir static Path folder;
  private static Job job;
  private static Ear ear;

  @BeforeAll
  static void build() {
    TakeBuilder close = new TakeBuilder(RATE, 31).pause(2.5);
    TakeBuilder far = new TakeBuilder(RATE, 32).pause(2.5);
    for (int i = 0; i < 3; i++) {
      double hz = HZ[i] * Math.pow(2, DETUNE[i] / 1200);
      close.sound("note", 0, tone(hz, 0, i), -12, ROOM_DBFS).pause(PAUSE_S);
      float[] heard = tone(hz * Math.pow(2, FAR_CENTS / 1200), 0.35, i + 10);
      float[] before = tone(HZ[Math.max(0, i - 1)], 0.1, i + 20);
      for (int k = 0; k < heard.length; k++) {
        heard[k] += 0.01f * before[k];
      }
      far.sound("note", 0, heard, -18, ROOM_DBFS).pause(PAUSE_S);
    }
    job = new Job(folder).take("close.wav", close.build(ROOM_DBFS)).take("far.wav", far.build(-63));
    job.build(
        "out",
        """
        library: Larkfell
        takes:
          - files: {close: close.wav, far: far.wav}
            articulation: sustain
            notes: [A3, C4, E4]
        """);
    ear = new Ear(folder);
  }

  /** Ten partials with a vibrato of 5.5 Hz and 3 cents, and a breath of noise. */
  private static float[] tone(double hz, double turn, long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    float[] x = new float[(int) (NOTE_S * RATE)];
    double phase = 0;
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE;
      phase += hz * Math.pow(2, 3 * Math.sin(2 * Math.PI * (5.5 * t + turn)) / 1200) / RATE;
      double loud = Math.min(1, t / 0.03) * Math.min(1, (NOTE_S - t) / 0.15);
      for (int k = 1; k <= 10; k++) {
        x[i] += (float) (loud * Math.sin(2 * Math.PI * k * phase + k * seed) / k);
      }
      x[i] += (float) (loud * 0.005 * (random.nextDouble() - 0.5));
    }
    return x;
  }

  /**
   * Both ends of a loop in {@code smpl} are played (RIFF update of 1994), so its last frame leads
   * to its first: the last millisecond is that before the first frame. A loop that ends a frame
   * beside joins less well by 10 dB at least.
   */
  @Test
  void theLastFrameOfALoopLeadsToItsFirst() {
    for (Path file : job.samples("out")) {
      double[] off =
          ear.y(
              String.format(
                  "a, b = loop(%s)\ny = [a, b, *continues(%1$s, a, b)]", Ear.quoted(file)));
      assertTrue(off[0] > 0, file + " has no loop");
      assertTrue(off[2] < -20, file + " joins at " + off[2] + " dB");
      assertTrue(off[3] > off[2] + 10, file + ": a frame beside joins at " + off[3]);
    }
  }

  /** Else the two microphones would drift apart while a key is held. */
  @Test
  void allMicrophonesOfANoteHaveOneLoop() {
    for (String note : List.of("A3", "C4", "E4")) {
      long[] close = ear.loop(job.sample("out", "_close_", note));
      assertTrue(close[0] > 0, note);
      assertArrayEquals(close, ear.loop(job.sample("out", "_far_", note)), note);
      assertEquals(
          ear.frames(job.sample("out", "_close_", note)),
          ear.frames(job.sample("out", "_far_", note)));
    }
  }

  /** A far microphone stays as much higher as it was: otherwise the two beat against each other. */
  @Test
  void allMicrophonesOfANoteAreMovedAlike() {
    for (int i = 0; i < 3; i++) {
      String note = List.of("A3", "C4", "E4").get(i);
      double[] off =
          ear.cents(
              List.of(job.sample("out", "_close_", note), job.sample("out", "_far_", note)),
              HZ[i],
              HZ[i]);
      assertEquals(0, off[0], 1, note + ", near");
      assertEquals(FAR_CENTS, off[1] - off[0], 1.5, note + ", far");
    }
  }

  /**
   * {@code WLOOP} of DLS 2.2 has a length where {@code smpl} has a last frame; by either the same
   * frames are played, and the wave in the DLS file joins as the sample does.
   */
  @Test
  void theKeyMapHasTheLoopsOfTheSamples() {
    for (String layer : List.of("close", "far")) {
      Path dls = job.file("out").resolve("Larkfell_sustain_" + layer + ".dls");
      for (int i = 0; i < 3; i++) {
        String note = List.of("A3", "C4", "E4").get(i);
        long[] loop = ear.loop(job.sample("out", "_" + layer + "_", note));
        double[] read =
            ear.y(
                String.format(
                    "r = [r for r in dls_loops(%s) if r[0] == %d][0]\n"
                        + "y = [r[1], r[2], *continues(r[3], r[1], r[1] + r[2] - 1)]",
                    Ear.quoted(dls), List.of(57, 60, 64).get(i)));
        assertEquals(loop[0], (long) read[0], note);
        assertEquals(loop[1] - loop[0] + 1, (long) read[1], note);
        assertTrue(read[2] < -20, note + " joins at " + read[2] + " dB");
        assertTrue(read[3] > read[2] + 10, note + ": a frame beside joins at " + read[3]);
      }
    }
  }

  /** {@code loop: no} leaves the loop out of the file, and nothing else changes in its length. */
  @Test
  void withoutLoopsThereAreNone() {
    job.build(
        "plain",
        """
        library: Larkfell
        takes:
          - {file: close.wav, articulation: sustain, notes: [A3, C4, E4], loop: no}
        """);
    for (String note : List.of("A3", "C4", "E4")) {
      Path file = job.sample("plain", note);
      assertArrayEquals(new long[] {-1, -1}, ear.loop(file), note);
      assertEquals(ear.frames(job.sample("out", "_close_", note)), ear.frames(file), note);
    }
  }
}
