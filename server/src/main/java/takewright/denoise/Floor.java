package takewright.denoise;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import takewright.audio.Clip;
import takewright.dsp.Decibels;
import takewright.dsp.SumOfSquares;

/**
 * The level of the room tone before and after, RMS in dBFS, measured in the quietest stretches of
 * the audio that are not digital silence; minus infinity where there are none.
 */
record Floor(double beforeDbfs, double afterDbfs) {
  /** Length of a stretch in seconds: some periods of mains hum, and shorter than a gap. */
  private static final double STRETCH_S = 0.1;

  /** Mean power of the frames from one on. */
  private record HeardStretch(int from, double power) {}

  static Floor measure(Clip before, Clip after, int maxFrames) {
    int length = (int) Math.max(1, STRETCH_S * before.sampleRate());
    int count = before.frames() / length;
    List<HeardStretch> heard = new ArrayList<>();
    for (int i = 0; i < count; i++) {
      double power = meanSquare(before, i * length, length);
      if (power > 0) {
        heard.add(new HeardStretch(i * length, power));
      }
    }
    heard.sort(Comparator.comparingDouble(HeardStretch::power));
    int n = Math.min(maxFrames, (heard.size() + 9) / 10);
    if (n == 0) {
      return new Floor(Double.NEGATIVE_INFINITY, Double.NEGATIVE_INFINITY);
    }
    double sum = 0;
    double[] left = new double[n];
    for (int i = 0; i < n; i++) {
      HeardStretch quiet = heard.get(i);
      sum += quiet.power();
      left[i] = meanSquare(after, quiet.from(), length) / quiet.power();
    }
    // The usual value: a note may still ring faintly in some stretches, and is meant to stay.
    Arrays.sort(left);
    double mean = sum / n;
    return new Floor(Decibels.fromPower(mean), Decibels.fromPower(mean * left[n / 2]));
  }

  private static double meanSquare(Clip clip, int from, int length) {
    double sum = 0;
    for (int c = 0; c < clip.channels(); c++) {
      sum += sumOfSquares(clip.channel(c), from, from + length);
    }
    return sum / length / clip.channels();
  }

  /** Samples that are no numbers count as silence. */
  private static double sumOfSquares(float[] x, int from, int to) {
    double sum = SumOfSquares.of(x, from, to);
    if (!Double.isFinite(sum)) {
      sum = 0;
      for (int i = from; i < to; i++) {
        sum += square(x[i]);
      }
    }
    return sum;
  }

  private static double square(float x) {
    return Math.abs(x) <= Float.MAX_VALUE ? (double) x * x : 0;
  }
}
