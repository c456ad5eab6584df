package takewright.testing;

import java.util.SplittableRandom;
import takewright.audio.Clip;

/**
 * A room that breathes, as recorded rooms do and even noise does not: nine bands that wander by
 * some decibels, each in its own time; a level that drifts; a low rumble that swells now and then,
 * when something passes outside. Invented.
 */
public final class LivingRoom {
  private static final double[] EDGES = {20, 45, 90, 180, 355, 710, 1400, 2800, 5600, 14_000};
  private static final double[] BAND_DB = {2, 0, -3, -8, -13, -17, -22, -27, -32};

  private LivingRoom() {}

  /** The room, of a length in frames, at an RMS in dBFS. */
  public static float[] of(int frames, int rate, double dbfs, long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    double[] room = new double[frames];
    for (int b = 0; b < BAND_DB.length; b++) {
      double[] band = band(frames, rate, EDGES[b], Math.min(EDGES[b + 1], 0.45 * rate), random);
      double scale = Math.pow(10, BAND_DB[b] / 20) / rms(band);
      double[] gain = wander(frames, rate, 0.15 + 1.35 * random.nextDouble(), 1.5, random);
      for (int i = 0; i < frames; i++) {
        room[i] += scale * band[i] * gain[i];
      }
    }
    double[] level = wander(frames, rate, 12, 1.2, random);
    for (int i = 0; i < frames; i++) {
      room[i] *= level[i];
    }
    double[] rumble = band(frames, rate, 15, 60, random);
    double scale = rms(room) / rms(rumble);
    for (int pass = 0; pass < Math.max(1, frames / rate / 45); pass++) {
      double at = random.nextDouble() * frames;
      double width = (2 + 4 * random.nextDouble()) * rate;
      double loud = 0.5 + random.nextDouble();
      for (int i = 0; i < frames; i++) {
        double far = (i - at) / width;
        room[i] += scale * loud * rumble[i] * Math.exp(-0.5 * far * far);
      }
    }
    double gain = Math.pow(10, dbfs / 20) / rms(room);
    float[] x = new float[frames];
    for (int i = 0; i < frames; i++) {
      x[i] = (float) (gain * room[i]);
    }
    return x;
  }

  /** A take of a builder in such a room instead of an even one. */
  public static Clip around(TakeBuilder take, int rate, double dbfs, long seed) {
    Clip clean = take.build(-200);
    float[] x = clean.channel(0).clone();
    float[] room = of(x.length, rate, dbfs, seed);
    for (int i = 0; i < x.length; i++) {
      x[i] += room[i];
    }
    return Clip.of(rate, x);
  }

  /** Noise of a band, by two one-pole filters each way. */
  private static double[] band(
      int frames, int rate, double low, double high, SplittableRandom random) {
    double up = 1 - Math.exp(-2 * Math.PI * high / rate);
    double down = 1 - Math.exp(-2 * Math.PI * low / rate);
    double[] x = new double[frames];
    double a = 0;
    double b = 0;
    double c = 0;
    double d = 0;
    for (int i = 0; i < frames; i++) {
      double white = random.nextDouble() + random.nextDouble() + random.nextDouble() - 1.5;
      a += up * (white - a);
      b += up * (a - b);
      c += down * (b - c);
      d += down * (b - c - d);
      x[i] = b - c - d;
    }
    return x;
  }

  /**
   * A slow course of gain, by about so many dB each way: a walk of points so many seconds apart.
   */
  private static double[] wander(
      int frames, int rate, double seconds, double db, SplittableRandom random) {
    double[] points = new double[(int) (frames / (rate * seconds)) + 4];
    double sum = 0;
    double at = 0;
    for (int i = 0; i < points.length; i++) {
      // It leans back to its middle, so that it wanders and does not leave.
      at = 0.8 * at + random.nextDouble() + random.nextDouble() - 1;
      points[i] = at;
      sum += at * at;
    }
    double scale = db / Math.sqrt(sum / points.length + 1e-9);
    double[] gain = new double[frames];
    for (int i = 0; i < frames; i++) {
      double place = i / (rate * seconds);
      int k = (int) place;
      double value = points[k] + (place - k) * (points[k + 1] - points[k]);
      gain[i] = Math.pow(10, scale * value / 20);
    }
    return gain;
  }

  private static double rms(double[] x) {
    double sum = 0;
    for (double v : x) {
      sum += v * v;
    }
    return Math.sqrt(sum / x.length + 1e-30);
  }
}
