package takewright.loop;

import java.util.Arrays;
import java.util.HashMap;
import java.util.Map;
import takewright.dsp.Decibels;

/**
 * How far the level dips within the cross-fade of a loop, where partials of its two ends are out of
 * step for a moment, beyond the dips that the note has anyway. A note with a vibrato swings by
 * decibels many times a second, and hides what would be heard in a still one.
 */
final class Dip {
  /** Length of a level, in seconds; for low notes this many periods. */
  private static final double LEVEL_S = 0.01;

  private static final double LEVEL_PERIODS = 2;

  /** A level is measured over this many parts; the gains of a fade count as constant in each. */
  private static final int PARTS = 16;

  /** Levels overlap by half. */
  private static final int STEP = PARTS / 2;

  /** Stretches of the note that show its own dips, and the share of them that dips less. */
  private static final int STRETCHES = 33;

  private static final double USUAL_QUANTILE = 0.75;

  /** A dip that is not heard even in a still note, in dB: that of the level's just noticeable. */
  private static final double NOT_HEARD_DB = 1;

  private final float[] x;
  private final Energy energy;
  private final int first;
  private final int last;

  /** Frames of a part. */
  private final int part;

  /** The note's own dips by the length of a fade. */
  private final Map<Integer, Double> usualDb = new HashMap<>();

  /**
   * For loops of a note.
   *
   * @param energy of {@code x}
   * @param first frame at which its steady part begins
   * @param last frame at which it ends
   */
  Dip(float[] x, Energy energy, int sampleRate, double hz, int first, int last) {
    this.x = x;
    this.energy = energy;
    this.first = first;
    this.last = last;
    double level = Math.max(LEVEL_S, LEVEL_PERIODS / hz) * sampleRate;
    part = Math.max(1, (int) (level / PARTS));
  }

  /**
   * The dip of a loop beyond the note's own, in dB; 0 where it has none.
   *
   * @param likeness of the waveforms that are faded into each other
   */
  double excessDb(Loop loop, double likeness) {
    int fade = loop.fade();
    int played = loop.end() + 1 - fade;
    int wanted = loop.start() - fade;
    double[] faded = new double[2 * fade / part];
    for (int i = 0; i < faded.length; i++) {
      double in = CrossFade.share((i + 0.5) * part, fade, fade);
      double out = 1 - in;
      double size = CrossFade.size(in, out, Math.max(0, likeness));
      int a = played + i * part;
      int b = wanted + i * part;
      // The energy of the mix, from what its two sounds and their product have.
      double mixed =
          out * out * energy.of(a, part)
              + in * in * energy.of(b, part)
              + 2 * out * in * product(a, b);
      faded[i] = Math.max(0, mixed) / (size * size);
    }
    double allowed = Math.max(NOT_HEARD_DB, usualDb.computeIfAbsent(2 * fade, this::usualDb));
    return Math.max(0, dipDb(faded) - allowed);
  }

  /** The sum of the products of two parts. */
  private double product(int a, int b) {
    float even = 0;
    float odd = 0;
    int i = 0;
    for (; i + 1 < part; i += 2) {
      even += x[a + i] * x[b + i];
      odd += x[a + i + 1] * x[b + i + 1];
    }
    return even + odd + (i < part ? x[a + i] * x[b + i] : 0);
  }

  /** The dip that a quarter of the note's own stretches of a length pass. */
  private double usualDb(int length) {
    double[] dips = new double[STRETCHES];
    int room = Math.max(0, last - first - length);
    for (int i = 0; i < STRETCHES; i++) {
      int from = first + (int) ((long) room * i / (STRETCHES - 1));
      double[] parts = new double[Math.min(length, x.length - from) / part];
      for (int k = 0; k < parts.length; k++) {
        parts[k] = energy.of(from + k * part, part);
      }
      dips[i] = dipDb(parts);
    }
    Arrays.sort(dips);
    return dips[(int) (USUAL_QUANTILE * (STRETCHES - 1))];
  }

  /** How far the quietest level of a stretch lies below the mean of all, in dB. */
  private static double dipDb(double[] parts) {
    double sum = 0;
    double min = Double.MAX_VALUE;
    int levels = 0;
    for (int from = 0; from + PARTS <= parts.length; from += STEP) {
      double level = 0;
      for (int i = from; i < from + PARTS; i++) {
        level += parts[i];
      }
      sum += level;
      min = Math.min(min, level);
      levels++;
    }
    return levels < 2 ? 0 : Decibels.fromPower((sum / levels + 1e-20) / (min + 1e-20));
  }
}
