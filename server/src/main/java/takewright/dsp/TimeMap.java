package takewright.dsp;

import java.util.Arrays;

/**
 * Which place of the input every output frame of a resampling comes from: at even steps, or at
 * steps that follow a curve of pitch. Both ways between the two it only ever goes forwards.
 *
 * <p>A curve is integrated once, from knot to knot of the output (Runge and Kutta's method of
 * fourth order); between knots a cubic goes through the places with the right steps at both ends
 * (Hermite), so that pitch has no jumps.
 */
public final class TimeMap {
  /** Output frames from knot to knot, some 10 ms: a curve of pitch takes ten times that to turn. */
  private static final int KNOT = 512;

  /** Output frames an input frame where no curve is, before its first and behind its last knot. */
  private final double ratio;

  /** The lowest number of output frames an input frame anywhere. */
  private final double lowestRatio;

  /** By knot: the place in the input, and input frames an output frame there; empty if even. */
  private final double[] place;

  private final double[] step;

  private TimeMap(double ratio, double lowestRatio, double[] place, double[] step) {
    if (!(ratio > 0 && lowestRatio > 0 && ratio < Double.POSITIVE_INFINITY)) {
      throw new IllegalArgumentException("a ratio must be above 0, not " + ratio);
    }
    this.ratio = ratio;
    this.lowestRatio = lowestRatio;
    this.place = place;
    this.step = step;
  }

  /** Even steps: this many output frames an input frame. */
  public static TimeMap even(double ratio) {
    return new TimeMap(ratio, ratio, new double[0], new double[0]);
  }

  /**
   * Steps that move the pitch along a curve.
   *
   * @param ratio output frames an input frame where the curve is 0
   * @param cents by point: how far the pitch is moved there, in cents, upwards if positive; between
   *     points it goes straight, and before the first and behind the last it stays as it is there
   * @param first input frame of the first point
   * @param spacing input frames from point to point, above 0
   */
  public static TimeMap along(double ratio, double[] cents, double first, double spacing) {
    if (cents.length == 0) {
      return even(ratio);
    }
    double end = first + (cents.length - 1) * spacing;
    double max = Arrays.stream(cents).max().orElseThrow();
    double min = Arrays.stream(cents).min().orElseThrow();
    double shortest = Cents.toRatio(min) / ratio;
    int room = 2 + (int) Math.ceil(Math.max(0, end) / shortest / KNOT);
    double[] place = new double[room];
    double[] step = new double[room];
    double at = 0;
    int n = 0;
    while (true) {
      double s1 = step(ratio, cents, first, spacing, at);
      place[n] = at;
      step[n] = s1;
      n++;
      if (at >= end) {
        break;
      }
      double s2 = step(ratio, cents, first, spacing, at + KNOT / 2.0 * s1);
      double s3 = step(ratio, cents, first, spacing, at + KNOT / 2.0 * s2);
      double s4 = step(ratio, cents, first, spacing, at + KNOT * s3);
      at += KNOT / 6.0 * (s1 + 2 * s2 + 2 * s3 + s4);
    }
    return new TimeMap(
        ratio, ratio / Cents.toRatio(max), Arrays.copyOf(place, n), Arrays.copyOf(step, n));
  }

  /** Input frames an output frame at a place of the input. */
  private static double step(
      double ratio, double[] cents, double first, double spacing, double at) {
    double point = Math.max(0, Math.min(cents.length - 1, (at - first) / spacing));
    int whole = (int) Math.min(cents.length - 1, point);
    int next = Math.min(cents.length - 1, whole + 1);
    double moved = cents[whole] + (point - whole) * (cents[next] - cents[whole]);
    return Cents.toRatio(moved) / ratio;
  }

  /** The lowest number of output frames an input frame anywhere: where the pitch goes up most. */
  public double lowestRatio() {
    return lowestRatio;
  }

  /** Where in the input an output frame lies, in frames. */
  public double inputPosition(long outputFrame) {
    return inputPosition((double) outputFrame);
  }

  private double inputPosition(double at) {
    if (place.length == 0) {
      return at / ratio;
    }
    int last = place.length - 1;
    double knots = at / KNOT;
    if (knots >= last) {
      return place[last] + (at - (double) last * KNOT) * step[last];
    }
    int k = (int) knots;
    double t = knots - k;
    double rise = place[k + 1] - place[k];
    double from = step[k] * KNOT;
    double to = step[k + 1] * KNOT;
    return place[k] + t * (from + t * (3 * rise - 2 * from - to + t * (from + to - 2 * rise)));
  }

  /** Fills in where {@code count} output frames from {@code first} on lie, in input frames. */
  void inputPositions(long first, double[] positions, int count) {
    if (place.length == 0) {
      double each = 1 / ratio;
      for (int i = 0; i < count; i++) {
        positions[i] = (first + i) * each;
      }
      return;
    }
    for (int i = 0; i < count; i++) {
      positions[i] = inputPosition((double) (first + i));
    }
  }

  /** Where in the output a place of the input lies, 0 or later, in frames. */
  public double outputPosition(double inputFrame) {
    if (place.length == 0) {
      return inputFrame * ratio;
    }
    int last = place.length - 1;
    if (inputFrame >= place[last]) {
      return (double) last * KNOT + (inputFrame - place[last]) / step[last];
    }
    int found = Arrays.binarySearch(place, Math.max(0, inputFrame));
    int k = found >= 0 ? found : -found - 2;
    double low = (double) k * KNOT;
    double high = low + KNOT;
    // Halved until doubles end: places are asked for a few times a sample, not a frame.
    for (int i = 0; i < 60; i++) {
      double middle = (low + high) / 2;
      if (inputPosition(middle) <= inputFrame) {
        low = middle;
      } else {
        high = middle;
      }
    }
    return low;
  }

  /** The output frame nearest to an input frame: what sounds at the one sounds at the other. */
  public long mapFrame(long inputFrame) {
    return Math.round(outputPosition(inputFrame));
  }

  /**
   * Frames that this many input frames become, rounded up, so that the end is never cut. A fraction
   * below a millionth of a frame is taken for rounding. The end of a range, mapped, never lies
   * beyond it.
   */
  public long outputFrames(long inputFrames) {
    double end = outputPosition(inputFrames);
    return Math.max((long) Math.ceil(end - 1e-6), mapFrame(inputFrames));
  }
}
