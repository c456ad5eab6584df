package takewright.denoise;

import java.util.Random;
import takewright.audio.Clip;
import takewright.denoise.room.NoiseProfile;

/** Synthetic noise for tests; invented data. */
public final class Noise {
  private Noise() {}

  /** White Gaussian noise of an RMS level in dBFS. */
  public static float[] white(int frames, double dbfs, long seed) {
    Random random = new Random(seed);
    float rms = (float) Math.pow(10, dbfs / 20);
    float[] x = new float[frames];
    for (int i = 0; i < frames; i++) {
      x[i] = rms * (float) random.nextGaussian();
    }
    return x;
  }

  /** Noise that falls by 3 dB per octave, as rooms do, of an RMS level in dBFS. */
  static float[] pink(int frames, double dbfs, long seed) {
    Random random = new Random(seed);
    double[] state = new double[5];
    double[] pole = {0.9985, 0.991, 0.95, 0.75, 0.2};
    double[] weight = {0.05, 0.11, 0.25, 0.55, 1.0};
    float[] x = new float[frames];
    double power = 0;
    for (int i = 0; i < frames; i++) {
      double sum = 0;
      double white = random.nextGaussian();
      for (int p = 0; p < pole.length; p++) {
        state[p] = pole[p] * state[p] + weight[p] * white;
        sum += state[p];
      }
      x[i] = (float) sum;
      power += sum * sum;
    }
    float scale = (float) (Math.pow(10, dbfs / 20) / Math.sqrt(power / frames));
    for (int i = 0; i < frames; i++) {
      x[i] *= scale;
    }
    return x;
  }

  /** Pink noise in three bands, each of which wanders by some dB in half a second. */
  public static float[] wandering(int rate, int frames, double dbfs, double wanderDb, long seed) {
    float[] sum = new float[frames];
    double[][] bands = {{40, 300}, {300, 2000}, {2000, 12000}};
    for (int b = 0; b < bands.length; b++) {
      float[] x = pink(frames, dbfs, seed + b);
      double low = 0;
      double high = 0;
      double lower = 1 - Math.exp(-2 * Math.PI * bands[b][0] / rate);
      double upper = 1 - Math.exp(-2 * Math.PI * bands[b][1] / rate);
      Random random = new Random(seed * 31 + b);
      double from = 0;
      double to = 0;
      int step = rate / 2;
      for (int i = 0; i < frames; i++) {
        if (i % step == 0) {
          from = to;
          to = wanderDb * random.nextGaussian();
        }
        high += upper * (x[i] - high);
        low += lower * (high - low);
        double db = from + (to - from) * (i % step) / step;
        sum[i] += (float) ((high - low) * Math.pow(10, db / 20));
      }
    }
    return sum;
  }

  /** A decaying tone of ten harmonics from {@code at} on, added in place; peak about 0.4. */
  static void pluck(float[] x, int at, int length, double hz, int rate) {
    pluck(x, at, length, hz, 0.3, rate);
  }

  /** The same of another peak: about a quarter higher than this. */
  static void pluck(float[] x, int at, int length, double hz, double peak, int rate) {
    for (int i = 0; i < length && at + i < x.length; i++) {
      double t = (double) i / rate;
      double sum = 0;
      for (int h = 1; h <= 10; h++) {
        sum += Math.sin(2 * Math.PI * h * hz * t) / h * Math.exp(-t * (2 + h));
      }
      x[at + i] += (float) (peak * sum * Math.min(1, i / (0.002 * rate)));
    }
  }

  static float[] sum(float[] a, float[] b) {
    float[] sum = a.clone();
    for (int i = 0; i < sum.length; i++) {
      sum[i] += b[i];
    }
    return sum;
  }

  /** RMS in dBFS of frames from {@code from} to {@code to}. */
  static double level(float[] x, int from, int to) {
    double sum = 0;
    for (int i = from; i < to; i++) {
      sum += (double) x[i] * x[i];
    }
    return 10 * Math.log10(sum / (to - from) + 1e-30);
  }

  /** The RMS of a - b in dBFS. */
  static double difference(float[] a, float[] b, int from, int to) {
    double sum = 0;
    for (int i = from; i < to; i++) {
      sum += Math.pow((double) a[i] - b[i], 2);
    }
    return 10 * Math.log10(sum / (to - from) + 1e-30);
  }

  static NoiseProfile profile(int rate, float[] noise) {
    return NoiseProfile.of(java.util.List.of(Clip.of(rate, noise)));
  }
}
