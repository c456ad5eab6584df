package takewright.loop;

import java.util.Arrays;
import takewright.dsp.Decibels;
import takewright.dsp.Fft;
import takewright.dsp.Windows;

/**
 * Evens out what would be heard as a pulse when a loop comes round: the swing of its level and of
 * its brightness once, and twice, in its length.
 *
 * <p>A note drifts in level and tone while it is held, and a loop brings the same drift back again
 * and again at one rate. A gain and a tilt of the spectrum, as slow as the loop itself, take out
 * just that. What is faster than {@value #MAX_HZ} Hz is vibrato, and stays.
 *
 * <p>Both gains come back to where they were when the loop turns round, so held it stays seamless;
 * they fade in over the cross-fade's length before the loop and fade out over the same behind it,
 * so played through it is seamless too. All channels of a file have the same gains.
 */
final class Evening {
  /** Slower than any vibrato. */
  private static final double MAX_HZ = 2;

  private static final int HARMONICS = 2;

  /** Gains move by no more than this from their middle, in dB. */
  private static final double MAX_DB = 2;

  /** A tilt of 1 dB that moves the brightness by less than this share of it can do nothing. */
  private static final double MIN_SHARE_A_DB = 0.002;

  /** What is measured at a time, in seconds: long enough for a period of a low note. */
  private static final double WINDOW_S = 0.04;

  /**
   * Measurements in a round, at most: enough that no vibrato is taken for a slow swing. Nearer to
   * each other than half of what is measured they would say the same.
   */
  private static final int MAX_POINTS = 128;

  /** A tilt changes the level a little, and its own measure too, so both are found twice. */
  private static final int ROUNDS = 2;

  /** Frames from one computed gain to the next; those in between are interpolated linearly. */
  private static final int STEP = 64;

  private final float[][] channels;
  private final Loop loop;

  /** Of the low-pass whose complement is tilted. */
  private final double pole;

  /** By point of a round: the amplitude of each bin. */
  private final float[][] amplitude;

  /** By point: its power, and what a tilt adds to it. */
  private final Tilted[] power;

  /** By bin: twice the real part of the complement's response, and its square. */
  private final float[] twiceReal;

  private final float[] square;

  /** The amplitudes of one point through a tilt. */
  private final float[] through;

  private Evening(float[][] channels, Loop loop, int sampleRate) {
    this.channels = channels;
    this.loop = loop;
    amplitude = spectra((int) (WINDOW_S * sampleRate));
    int bins = amplitude[0].length;
    twiceReal = new float[bins];
    square = new float[bins];
    through = new float[bins];
    double turnABin = Math.PI / (bins - 1);
    double middle = Arrays.stream(amplitude).mapToDouble(a -> centroid(a)).average().orElse(0);
    pole = Math.exp(-turnABin * Math.max(1, middle));
    for (int k = 0; k < bins; k++) {
      // 1 - (1 - pole) / (1 - pole / z) at the bin's frequency
      double a = 1 - pole * Math.cos(k * turnABin);
      double b = pole * Math.sin(k * turnABin);
      double size = a * a + b * b;
      double re = 1 - (1 - pole) * a / size;
      double im = (1 - pole) * b / size;
      twiceReal[k] = (float) (2 * re);
      square[k] = (float) (re * re + im * im);
    }
    power = new Tilted[amplitude.length];
    for (int p = 0; p < power.length; p++) {
      power[p] = Tilted.of(amplitude[p], twiceReal, square);
    }
  }

  /** Evens out a loop whose cross-fades are written, in place. */
  static void apply(float[][] channels, Loop loop, int sampleRate) {
    int harmonics = (int) Math.min(HARMONICS, MAX_HZ * loop.length() / sampleRate);
    if (harmonics > 0) {
      Evening evening = new Evening(channels, loop, sampleRate);
      Gains gains = evening.gains(harmonics);
      for (float[] x : channels) {
        evening.write(x, gains);
      }
    }
  }

  private Gains gains(int harmonics) {
    Gains gains = new Gains(harmonics);
    for (int round = 0; round < ROUNDS; round++) {
      double[] now = brightness(gains.tilt);
      double middle = mean(now);
      double aDb = mean(brightness(gains.tilt.raisedBy(1))) - middle;
      if (aDb > MIN_SHARE_A_DB * middle) {
        gains.tilt.subtract(Arrays.stream(now).map(b -> b / aDb).toArray());
        gains.tilt.limit();
      }
      gains.level.subtract(level(gains));
      gains.level.limit();
    }
    return gains;
  }

  /**
   * In floats between the computed gains: a conversion to double waits for what its register held
   * before (HotSpot 17), and with two a sample one took 15 ns instead of 4.
   */
  private void write(float[] x, Gains gains) {
    int first = loop.start() - loop.fade();
    int last = Math.min(x.length, loop.end() + 1 + loop.fade());
    float low = x[first];
    double level = 1;
    double tilt = 1;
    for (int from = first; from < last; from += STEP) {
      int to = Math.min(last, from + STEP);
      double share = share(to);
      double turn = (double) (to - loop.start()) / loop.length();
      double nextLevel = Decibels.toAmplitude(share * gains.level.at(turn));
      double nextTilt = Decibels.toAmplitude(share * gains.tilt.at(turn));
      Ramp gain = Ramp.of(level, nextLevel, to - from);
      Ramp more = Ramp.of(tilt - 1, nextTilt - 1, to - from);
      low = write(x, from, to, low, gain, more);
      level = nextLevel;
      tilt = nextTilt;
    }
  }

  /** Writes up to the next computed gain; answers what the low-pass holds then. */
  private float write(float[] x, int from, int to, float low, Ramp gain, Ramp more) {
    float passes = (float) (1 - pole);
    float held = low;
    float g = gain.from;
    float m = more.from;
    for (int i = from; i < to; i++) {
      float now = x[i];
      held += passes * (now - held);
      x[i] = g * (now + m * (now - held));
      g += gain.step;
      m += more.step;
    }
    return held;
  }

  /** A value that moves evenly from sample to sample. */
  private record Ramp(float from, float step) {
    static Ramp of(double from, double to, int samples) {
      return new Ramp((float) from, (float) ((to - from) / samples));
    }
  }

  /** How much of the gains applies: all of them within the loop, none beyond the fades. */
  private double share(int frame) {
    double beyond = Math.max(loop.start() - frame, frame - loop.end() - 1);
    if (beyond <= 0) {
      return 1;
    }
    return beyond >= loop.fade() ? 0 : 0.5 + 0.5 * Math.cos(Math.PI * beyond / loop.fade());
  }

  private float[][] spectra(int size) {
    float[] window = Windows.hann(size);
    Fft fft = Fft.of(Integer.highestOneBit(2 * size - 1));
    int points = Math.min(MAX_POINTS, 2 * loop.length() / size);
    float[][] spectra = new float[points][fft.bins()];
    float[] part = new float[fft.size()];
    for (int p = 0; p < points; p++) {
      int at = (int) ((long) p * loop.length() / points) - size / 2;
      Arrays.fill(part, 0);
      for (int done = 0; done < size; ) {
        // Up to where the loop turns round.
        int from = Math.floorMod(at + done, loop.length());
        int count = Math.min(size - done, loop.length() - from);
        for (float[] x : channels) {
          for (int i = 0; i < count; i++) {
            part[done + i] += window[done + i] * x[loop.start() + from + i];
          }
        }
        done += count;
      }
      fft.powerOf(part, spectra[p]);
      Centroid.roots(spectra[p], spectra[p]);
    }
    return spectra;
  }

  /** The level over a round through some gains, in dB, by point. */
  private double[] level(Gains gains) {
    double[] level = new double[power.length];
    for (int p = 0; p < level.length; p++) {
      double turn = (double) p / level.length;
      double more = Decibels.toAmplitude(gains.tilt.at(turn)) - 1;
      level[p] = Decibels.fromPower(power[p].at(more) + 1e-20) + gains.level.at(turn);
    }
    return level;
  }

  /** The spectral centroid by amplitude over a round through a tilt, in bins, by point. */
  private double[] brightness(Swing tilt) {
    double[] brightness = new double[amplitude.length];
    for (int p = 0; p < brightness.length; p++) {
      double more = Decibels.toAmplitude(tilt.at((double) p / brightness.length)) - 1;
      brightness[p] = brightness(amplitude[p], (float) more);
    }
    return brightness;
  }

  private double brightness(float[] amplitudes, float more) {
    float moreSquared = more * more;
    for (int k = 0; k < through.length; k++) {
      through[k] =
          amplitudes[k] * (float) Math.sqrt(1 + more * twiceReal[k] + moreSquared * square[k]);
    }
    return centroid(through);
  }

  private static double centroid(float[] amplitudes) {
    return Centroid.ofAmplitudes(amplitudes, amplitudes.length);
  }

  /**
   * The power of a sound of which a part is mixed in once more: a polynomial of how much.
   *
   * @param whole its own
   * @param both twice the sum of the products of sound and part
   * @param part that of the part
   */
  private record Tilted(double whole, double both, double part) {
    static Tilted of(float[] amplitude, float[] twiceReal, float[] square) {
      double whole = 0;
      double both = 0;
      double part = 0;
      for (int k = 1; k < amplitude.length; k++) {
        double power = amplitude[k] * amplitude[k];
        whole += power;
        both += power * twiceReal[k];
        part += power * square[k];
      }
      return new Tilted(whole, both, part);
    }

    double at(double more) {
      return whole + more * (both + more * part);
    }
  }

  private static double mean(double[] values) {
    return Arrays.stream(values).average().orElse(0);
  }

  /** The gain of all, and of what lies above the middle of the spectrum. */
  private record Gains(Swing level, Swing tilt) {
    Gains(int harmonics) {
      this(new Swing(harmonics), new Swing(harmonics));
    }
  }

  /** A gain in dB that comes round with the loop. */
  private static final class Swing {
    private final double middle;
    private final double[] cos;
    private final double[] sin;

    Swing(int harmonics) {
      this(0, new double[harmonics], new double[harmonics]);
    }

    private Swing(double middle, double[] cos, double[] sin) {
      this.middle = middle;
      this.cos = cos;
      this.sin = sin;
    }

    Swing raisedBy(double db) {
      return new Swing(middle + db, cos, sin);
    }

    double at(double turn) {
      double db = middle;
      for (int h = 0; h < cos.length; h++) {
        double angle = 2 * Math.PI * (h + 1) * turn;
        db += cos[h] * Math.cos(angle) + sin[h] * Math.sin(angle);
      }
      return db;
    }

    /** Takes away the slow swings of values by point of a round. */
    void subtract(double[] values) {
      for (int h = 0; h < cos.length; h++) {
        for (int p = 0; p < values.length; p++) {
          double angle = 2 * Math.PI * (h + 1) * p / values.length;
          cos[h] -= 2 * values[p] * Math.cos(angle) / values.length;
          sin[h] -= 2 * values[p] * Math.sin(angle) / values.length;
        }
      }
    }

    void limit() {
      double sum = 0;
      for (int h = 0; h < cos.length; h++) {
        sum += Math.hypot(cos[h], sin[h]);
      }
      double kept = Math.min(1, MAX_DB / Math.max(sum, 1e-9));
      for (int h = 0; h < cos.length; h++) {
        cos[h] *= kept;
        sin[h] *= kept;
      }
    }
  }
}
