package takewright.retune;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.audio.Clip;
import takewright.testing.Recordings;

/**
 * Drift taken away and vibrato left, by a measure of the test's own: the fundamental is moved to 0
 * Hz and its phase followed.
 */
class DriftTest {
  private static final int RATE = 44_100;

  /** A course of pitch over time, in cents. */
  private interface Course {
    double cents(double seconds);
  }

  /** A sag, a rise, a swell and ebb, and a fall near the end; 20 cents each, 5 Hz of 25 cents. */
  @ParameterizedTest
  @CsvSource({"220, 4, 0", "220, 4, 1", "440, 2.5, 0", "98, 5, 2", "880, 6, 2", "660, 4, 3"})
  void aDriftOfAMadeToneGoesAndItsVibratoStays(double hz, double lengthS, int shape) {
    Course drift =
        t ->
            switch (shape) {
              case 0 -> -20 * t / lengthS;
              case 1 -> 20 * t / lengthS - 7;
              case 2 -> 10 * Math.sin(2 * Math.PI * (t / lengthS - 0.25));
              default -> -20 / (1 + Math.exp(-4 * (t - 0.7 * lengthS)));
            };
    Course sung = t -> drift.cents(t) + 25 * Math.sin(2 * Math.PI * 5 * t);
    float[] tone = tone(hz, lengthS, sung);
    float[] level = level(tone, hz);
    Pitch before = new Pitch(tone, hz);
    Pitch after = new Pitch(level, hz);
    assertTrue(before.range() > 12, "a drift of " + before.range());
    assertEquals(0, after.range(), 3, "left of it");
    // A window of 40 ms hears a little less.
    assertEquals(25, before.depth(5), 1.3);
    assertEquals(before.depth(5), after.depth(5), 1);
  }

  /**
   * 20 cents from end to end, laid on recordings by resampling of the test's own. A straight line
   * through their periods, which are read by autocorrelation, is level afterwards.
   */
  @ParameterizedTest
  @ValueSource(strings = {"violin", "saxophone", "contrabass"})
  void recordingsThatWereBentAreLevelAgain(String instrument) {
    List<Recordings.Note> notes = Recordings.of(instrument);
    for (int n = 1; n < notes.size(); n += 5) {
      Clip whole = notes.get(n).read(4);
      double hz = Analyse.pitch(whole, AnalyseSettings.DEFAULTS).frequencyHz();
      if (hz > 1000) {
        // A violin's vibrato so high makes a sound unlike itself four periods on: none can be read.
        continue;
      }
      float[] x = whole.mono();
      float[] bent = bent(x, t -> 20 * t / x.length);
      double before = periodsRise(bent, hz);
      double after = periodsRise(level(bent, hz), hz);
      assertTrue(before > 10, notes.get(n).name() + " bent by " + before);
      assertEquals(0, after, 3, notes.get(n).name());
    }
  }

  /**
   * How far the straight line through the periods' pitch rises from end to end, in cents; the
   * periods weighted by how alike the sound is from one to the next.
   */
  private static double periodsRise(float[] x, double hz) {
    int periods = 4;
    int lag = (int) Math.rint(periods * RATE / hz);
    int reach = (int) Math.ceil(lag * 0.03);
    int window = Math.max(2 * lag, (int) (0.03 * RATE));
    double loudest = 0;
    for (float sample : x) {
      loudest = Math.max(loudest, Math.abs(sample));
    }
    double w = 0;
    double wt = 0;
    double wtt = 0;
    double wc = 0;
    double wtc = 0;
    for (int at = RATE / 4; at + window + lag + reach + 1 < x.length - RATE / 4; at += RATE / 25) {
      double[] alike = new double[2 * reach + 1];
      int best = 0;
      for (int l = -reach; l <= reach; l++) {
        double ab = 0;
        double aa = 1e-9;
        double bb = 1e-9;
        for (int i = at; i < at + window; i++) {
          ab += x[i] * x[i + lag + l];
          aa += x[i] * x[i];
          bb += x[i + lag + l] * x[i + lag + l];
        }
        alike[l + reach] = aa / window < 0.001 * loudest * loudest ? 0 : ab / Math.sqrt(aa * bb);
        best = alike[l + reach] > alike[best] ? l + reach : best;
      }
      if (best == 0 || best == 2 * reach || alike[best] < 0.7) {
        continue;
      }
      double a = alike[best - 1];
      double b = alike[best];
      double c = alike[best + 1];
      double at4 = lag - reach + best + 0.5 * (a - c) / (a - 2 * b + c);
      double cents = 1200 * Math.log(periods * RATE / at4 / hz) / Math.log(2);
      double t = (double) at / x.length;
      w += b;
      wt += b * t;
      wtt += b * t * t;
      wc += b * cents;
      wtc += b * t * cents;
    }
    return (w * wtc - wt * wc) / (w * wtt - wt * wt);
  }

  private static float[] level(float[] audio, double hz) {
    Drift drift = Drift.of(audio, RATE, hz);
    return Retune.apply(Clip.of(RATE, audio), new RetuneSettings(0, 0, drift)).channel(0);
  }

  private static float[] tone(double hz, double lengthS, Course course) {
    float[] x = new float[(int) (lengthS * RATE)];
    double phase = 0;
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE;
      phase += 2 * Math.PI * hz / RATE * Math.pow(2, course.cents(t) / 1200);
      double gain = 0.2 * Math.min(1, Math.min(t / 0.05, (lengthS - t) / 0.1));
      for (int k = 1; k <= 8; k++) {
        x[i] += (float) (gain * Math.sin(k * phase) / k);
      }
    }
    return x;
  }

  /** Played along a course by a windowed sinc of 64 taps, in double: not by what is tested. */
  private static float[] bent(float[] x, Course centsByFrame) {
    float[] y = new float[x.length];
    double at = 0;
    for (int i = 0; i < y.length && at < x.length - 1; i++) {
      int whole = (int) at;
      double sum = 0;
      for (int k = Math.max(0, whole - 31); k <= Math.min(x.length - 1, whole + 32); k++) {
        double d = at - k;
        double sinc = Math.abs(d) < 1e-9 ? 1 : Math.sin(Math.PI * d) / (Math.PI * d);
        sum += x[k] * sinc * (0.5 + 0.5 * Math.cos(Math.PI * d / 33));
      }
      y[i] = (float) sum;
      at += Math.pow(2, centsByFrame.cents(at) / 1200);
    }
    return y;
  }

  /** The course of a sound's pitch by the phase of its fundamental. */
  private static final class Pitch {
    private static final int HOP = 441;
    private final double[] cents;

    Pitch(float[] x, double hz) {
      // Attack and release left out.
      int from = (int) (0.25 * RATE);
      int n = (x.length - 2 * from) / HOP;
      cents = new double[n - 1];
      double before = 0;
      for (int i = 0; i < n; i++) {
        double[] z = demodulated(x, from + i * HOP, hz);
        double phase = Math.atan2(z[1], z[0]);
        if (i > 0) {
          double ahead = Math.IEEEremainder(phase - before, 2 * Math.PI);
          double off = ahead / (2 * Math.PI) * RATE / HOP;
          cents[i - 1] = 1200 * Math.log(1 + off / hz) / Math.log(2);
        }
        before = phase;
      }
    }

    private static double[] demodulated(float[] x, int middle, double hz) {
      int half = (int) (RATE * Math.max(0.02, 2.5 / hz));
      double re = 0;
      double im = 0;
      for (int i = Math.max(0, middle - half); i < Math.min(x.length, middle + half); i++) {
        double w = 0.5 + 0.5 * Math.cos(Math.PI * (i - middle) / half);
        double angle = 2 * Math.PI * hz / RATE * i;
        re += w * x[i] * Math.cos(angle);
        im -= w * x[i] * Math.sin(angle);
      }
      return new double[] {re, im};
    }

    /** Highest less lowest of the mean over two swings of 5 Hz. */
    double range() {
      int width = 2 * RATE / HOP / 5;
      double low = Double.MAX_VALUE;
      double high = -Double.MAX_VALUE;
      for (int from = 0; from + width <= cents.length; from++) {
        double mean = Arrays.stream(cents, from, from + width).average().orElseThrow();
        low = Math.min(low, mean);
        high = Math.max(high, mean);
      }
      return high - low;
    }

    /** Of a swing of a known rate: half its way from top to bottom, in cents. */
    double depth(double rate) {
      int swing = (int) Math.rint(RATE / rate / HOP);
      int n = cents.length / swing * swing;
      double re = 0;
      double im = 0;
      double mean = Arrays.stream(cents, 0, n).average().orElseThrow();
      for (int i = 0; i < n; i++) {
        double angle = 2 * Math.PI * rate * i * HOP / RATE;
        re += (cents[i] - mean) * Math.cos(angle);
        im += (cents[i] - mean) * Math.sin(angle);
      }
      return 2 * Math.hypot(re, im) / n;
    }
  }
}
