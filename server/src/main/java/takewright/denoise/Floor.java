package takewright.denoise;

import java.util.Arrays;
import takewright.audio.Clip;
import takewright.dsp.Decibels;

/**
 * The level of the room tone before and after, RMS in dBFS, measured in the quietest stretches of
 * the audio that are not digital silence; minus infinity where there are none.
 */
record Floor(double beforeDbfs, double afterDbfs) {
  /** Length of a stretch in seconds: some periods of mains hum, and shorter than a gap. */
  private static final double STRETCH_S = 0.1;

  static Floor measure(Clip before, Clip after, int most) {
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
    int n = Math.min(most, (heard + 9) / 10);
    double sumBefore = 0;
    double sumAfter = 0;
    for (int i = 0; i < n; i++) {
      sumBefore += powers[i][0];
      sumAfter += powers[i][1];
    }
    return new Floor(
        Decibels.fromPower(n == 0 ? 0 : sumBefore / n),
        Decibels.fromPower(n == 0 ? 0 : sumAfter / n));
  }

  private static double meanSquare(Clip clip, int from, int length) {
    double sum = 0;
    for (int c = 0; c < clip.channels(); c++) {
      float[] x = clip.channel(c);
      for (int i = from; i < from + length; i++) {
        sum += Math.abs(x[i]) <= Float.MAX_VALUE ? (double) x[i] * x[i] : 0;
      }
    }
    return sum / length / clip.channels();
  }
}
