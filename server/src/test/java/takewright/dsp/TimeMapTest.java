package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.DoubleRange;
import net.jqwik.api.constraints.Size;
import org.junit.jupiter.api.Test;

/** Both ways through a map, and what the resampler makes of sines along a bent one. */
class TimeMapTest {
  private static final int RATE = 44_100;

  @Property(tries = 200)
  void goesForwardsAndBackAgain(
      @ForAll @DoubleRange(min = 0.1, max = 10) double ratio,
      @ForAll @Size(min = 1, max = 20) double[] wild,
      @ForAll @DoubleRange(min = -500, max = 5000) double first,
      @ForAll @DoubleRange(min = 50, max = 5000) double spacing) {
    double[] cents = new double[wild.length];
    for (int i = 0; i < cents.length; i++) {
      cents[i] = 100 * Math.sin(wild[i]);
      cents[i] = Double.isNaN(cents[i]) ? 0 : cents[i];
    }
    TimeMap map = TimeMap.along(ratio, cents, first, spacing);
    assertEquals(0, map.inputPosition(0));
    double before = -1;
    for (long frame = 0; frame < 30_000; frame += 97) {
      double at = map.inputPosition(frame);
      assertTrue(at > before, "stands still at " + frame);
      before = at;
      assertEquals(frame, map.outputPosition(at), 1e-6);
    }
    for (long frame = 0; frame < 30_000; frame += 997) {
      assertTrue(map.mapFrame(frame) <= map.mapFrame(frame + 1));
      assertTrue(map.mapFrame(frame) <= map.outputFrames(frame));
    }
    assertTrue(map.lowestRatio() <= ratio * Math.pow(2, 100.0 / 1200));
  }

  /** The integral of a straight course of pitch is known in closed form. */
  @Test
  void aStraightCourseLeadsWhereItsIntegralSays() {
    double most = 50;
    double length = 100_000;
    TimeMap map = TimeMap.along(1, new double[] {0, most}, 0, length);
    double k = most / 1200 * Math.log(2) / length;
    // d out / d in = exp(-k in)
    for (long in = 0; in <= 100_000; in += 9999) {
      assertEquals((1 - Math.exp(-k * in)) / k, map.outputPosition(in), 0.01);
    }
    double end = (1 - Math.exp(-k * length)) / k;
    double after = end + 50_000 * Math.exp(-k * length);
    assertEquals(after, map.outputPosition(150_000), 0.01);
  }

  /**
   * A sine played along a bend of 40 cents and an ebb and flow of 1 Hz is the sine of the places
   * that the map says, within 0.01 dB and with all else 120 dB below, up to 20 kHz as heard.
   */
  @Test
  void bentSinesAreCleanAndLevel() {
    double[] cents = new double[101];
    for (int i = 0; i < cents.length; i++) {
      cents[i] = -20 + 0.4 * i + 5 * Math.sin(2 * Math.PI * i / 50.0);
    }
    // Two seconds; a point every 882 frames.
    TimeMap map = TimeMap.along(1, cents, 0, 882);
    double low = Double.MAX_VALUE;
    double high = -Double.MAX_VALUE;
    double rest = -Double.MAX_VALUE;
    for (double hz : new double[] {20, 100, 1000, 5000, 10_000, 15_000, 18_000, 19_500}) {
      float[] y = run(map, Tone.sine(hz / RATE, 0.5, 2 * RATE));
      int edge = 2000;
      double ss = 0;
      double cc = 0;
      double sc = 0;
      double ys = 0;
      double yc = 0;
      for (int i = edge; i < y.length - edge; i++) {
        double angle = 2 * Math.PI * hz / RATE * map.inputPosition(i);
        double s = Math.sin(angle);
        double c = Math.cos(angle);
        ss += s * s;
        cc += c * c;
        sc += s * c;
        ys += y[i] * s;
        yc += y[i] * c;
      }
      double d = ss * cc - sc * sc;
      double a = (ys * cc - yc * sc) / d;
      double b = (yc * ss - ys * sc) / d;
      double left = 0;
      for (int i = edge; i < y.length - edge; i++) {
        double angle = 2 * Math.PI * hz / RATE * map.inputPosition(i);
        double off = y[i] - a * Math.sin(angle) - b * Math.cos(angle);
        left += off * off;
      }
      double gain = Tone.db(Math.hypot(a, b) / 0.5);
      low = Math.min(low, gain);
      high = Math.max(high, gain);
      rest = Math.max(rest, Tone.db(Math.sqrt(2 * left / (y.length - 2.0 * edge)) / 0.5));
    }
    assertTrue(low >= -0.01 && high <= 0.01, "gain " + low + " to " + high + " dB");
    assertTrue(rest <= -120, "rest " + rest + " dB");
  }

  /** Above what the fastest passage can hold nothing comes through anywhere. */
  @Test
  void nothingFoldsWhereItIsFastest() {
    TimeMap map = TimeMap.along(1, new double[] {0, 60, 60, 0}, 0, 20_000);
    double worst = -Double.MAX_VALUE;
    double nyquist = RATE / 2.0 / Math.pow(2, 60 / 1200.0);
    for (int k = 1; k <= 10; k++) {
      double hz = nyquist + (RATE / 2.0 * 0.9995 - nyquist) * k / 10;
      float[] y = run(map, Tone.sine(hz / RATE, 0.5, 60_000));
      worst = Math.max(worst, Tone.db(Tone.rms(y, 2000, y.length - 2000) * Math.sqrt(2) / 0.5));
    }
    assertTrue(worst <= -120, "alias " + worst + " dB");
  }

  private static float[] run(TimeMap map, float[] x) {
    Resampler resampler = new Resampler(RATE, map, 1);
    float[][] from = {x};
    float[][] to = new float[1][(int) map.outputFrames(x.length)];
    int written = 0;
    int read = 0;
    while (read < to[0].length) {
      if (written < x.length) {
        written += resampler.write(from, written, x.length - written);
      } else {
        resampler.end();
      }
      read += resampler.read(to, read, to[0].length - read);
    }
    return to[0];
  }
}
