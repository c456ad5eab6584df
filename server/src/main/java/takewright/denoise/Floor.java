package takewright.denoise;

import java.util.Arrays;
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

  static Floor measure(Clip before, Clip after, int maxFrames) {
    int length = (int) Math.max(1, STRETCH_S * before.sampleRate());
    int count = before.frames() / length;
    double[][] powers = new double[count][2];
    int heard = 0;
    for (int i = 0; i < count; i++) {
      double power = meanSquare(before, i * length, length);
      if (power > 0) {
        powers[heard][0] = power;
        powers[heard++][1] = meanSquare(after, i * length, length);
      }
    }
    powers = Arrays.copyOf(powers, heard);
    Arrays.sort(powers, (a, b) -> Double.compare(a[0], b[0]));
    int n = Math.min(maxFrames, (heard + 9) / 10);
    if (n == 0) {
      return new Floor(Double.NEGATIVE_INFINITY, Double.NEGATIVE_INFINITY);
    }
    double sum = 0;
    double[] left = new double[n];
    for (int i = 0; i < n; i++) {
      sum += powers[i][0];
      left[i] = powers[i][1] / powers[i][0];
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
