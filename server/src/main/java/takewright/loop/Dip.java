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

  /** Levels overlap by half. */
  private static final int OVERLAP = 2;

  /** Stretches of the note that show its own dips, and the share of them that dips less. */
  private static final int STRETCHES = 33;

  private static final double USUAL_QUANTILE = 0.75;

  /** A dip that is not heard even in a still note, in dB: that of the level's just noticeable. */
  private static final double NOT_HEARD_DB = 1;

  private final float[] x;
  private final int first;
  private final int last;
  private final int level;

  /** The note's own dips by the length of a fade. */
  private final Map<Integer, Double> usualDb = new HashMap<>();

  /**
   * For loops of a note.
   *
   * @param first frame at which its steady part begins
   * @param last frame at which it ends
   */
  Dip(float[] x, int sampleRate, double hz, int first, int last) {
    this.x = x;
    this.first = first;
    this.last = last;
    level = (int) (Math.max(LEVEL_S, LEVEL_PERIODS / hz) * sampleRate);
  }

  /**
   * The dip of a loop beyond the note's own, in dB; 0 where it has none.
   *
   * @param likeness of the waveforms that are faded into each other
   */
  double excessDb(Loop loop, double likeness) {
    int fade = loop.fade();
    double[] share = CrossFade.share(fade, fade);
    float[] faded = new float[share.length];
    int played = loop.end() + 1 - fade;
    int wanted = loop.start() - fade;
    for (int i = 0; i < faded.length; i++) {
      double in = share[i];
      double out = 1 - in;
      double size = CrossFade.size(in, out, Math.max(0, likeness));
      faded[i] = (float) ((out * x[played + i] + in * x[wanted + i]) / size);
    }
    double allowed = Math.max(NOT_HEARD_DB, usualDb.computeIfAbsent(faded.length, this::usualDb));
    return Math.max(0, dipDb(faded, 0, faded.length) - allowed);
  }

  /** The dip that a quarter of the note's own stretches of a length pass. */
  private double usualDb(int length) {
    double[] dips = new double[STRETCHES];
    int room = Math.max(0, last - first - length);
    for (int i = 0; i < STRETCHES; i++) {
      int from = first + (int) ((long) room * i / (STRETCHES - 1));
      dips[i] = dipDb(x, from, Math.min(length, x.length - from));
    }
    Arrays.sort(dips);
    return dips[(int) (USUAL_QUANTILE * (STRETCHES - 1))];
  }

  /** How far the quietest moment of a stretch lies below its mean power, in dB. */
  private double dipDb(float[] audio, int from, int count) {
    double sum = 0;
    double min = Double.MAX_VALUE;
    int levels = 0;
    for (int at = from; at + level <= from + count; at += level / OVERLAP) {
      double power = 0;
      for (int i = at; i < at + level; i++) {
        power += (double) audio[i] * audio[i];
      }
      sum += power;
      min = Math.min(min, power);
      levels++;
    }
    return levels < 2 ? 0 : Decibels.fromPower((sum / levels + 1e-20) / (min + 1e-20));
  }
}
