package takewright.loop;

import java.util.Arrays;
import takewright.audio.Clip;
import takewright.dsp.Decibels;
import takewright.dsp.SumOfSquares;

/**
 * How long a note takes to die away once it is let go: the time of a fall by 60 dB, drawn on from a
 * fall by 20 dB, as reverberation times are (ISO 3382-1).
 */
public final class Release {
  /** Points of the level a second, each of twice the length between them. */
  private static final int RATE = 100;

  /** The fall is read from 6 dB below the note's level, past what is still playing. */
  private static final double FROM_DB = 6;

  /** Over 20 dB, or over 10 where the tail is no longer. */
  private static final double[] FALLS_DB = {20, 10};

  /** Within this many dB of the loudest it counts as the note. */
  private static final double NOTE_DB = 20;

  /** Longer tails would be the room's or a string's that nobody damps, in milliseconds. */
  private static final double MAX_RELEASE_MS = 20_000;

  private Release() {}

  /** The release time in milliseconds; NaN if the sample ends before it falls. */
  public static double ms(Clip sample) {
    double[] level = level(sample);
    double loudest = Arrays.stream(level).max().orElse(-200);
    double[] note = Arrays.stream(level).filter(l -> l >= loudest - NOTE_DB).sorted().toArray();
    if (loudest <= -200) {
      return Double.NaN;
    }
    double reference = note[note.length / 2];
    double let = last(level, reference - FROM_DB);
    for (double fall : FALLS_DB) {
      double fallen = last(level, reference - FROM_DB - fall);
      if (fallen < level.length - 1) {
        // Points are no finer than this.
        double points = Math.max(0.5, fallen - let);
        return Math.min(MAX_RELEASE_MS, 60 / fall * points * 1000 / RATE);
      }
    }
    return Double.NaN;
  }

  /** Where the level is last at least {@code db}, between points too. */
  private static double last(double[] level, double db) {
    int i = level.length - 1;
    while (i > 0 && level[i] < db) {
      i--;
    }
    if (i == level.length - 1 || level[i] <= level[i + 1]) {
      return i;
    }
    return i + Math.max(0, Math.min(1, (level[i] - db) / (level[i] - level[i + 1])));
  }

  private static double[] level(Clip sample) {
    int hop = sample.sampleRate() / RATE;
    double[] power = new double[sample.frames() / hop];
    for (int c = 0; c < sample.channels(); c++) {
      float[] x = sample.channel(c);
      for (int i = 0; i < power.length; i++) {
        power[i] += SumOfSquares.of(x, i * hop, (i + 1) * hop);
      }
    }
    double[] level = new double[Math.max(0, power.length - 1)];
    for (int i = 0; i < level.length; i++) {
      level[i] = Decibels.fromPower((power[i] + power[i + 1]) / (2.0 * hop) + 1e-20);
    }
    return level;
  }
}
