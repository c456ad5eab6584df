package takewright.loop;

import java.util.Arrays;

/**
 * How much a loop pulses: the swing of its level and timbre at the rate at which it comes round,
 * beyond what the note has at that rate anyway. A note that lives swings at all rates; a loop
 * gathers all of it in one.
 */
final class Pulse {
  /** Stretches of the note that are compared with the loop. */
  private static final int STRETCHES = 25;

  /** A swing is heard where it passes the usual one by this share of it, 1 dB, */
  private static final double MORE_THAN_USUAL = 0.122;

  /** and by so much in any case, however still the note is: in dB, and as a share. */
  private static final double LEVEL_DB = 0.02;

  private static final double BRIGHTNESS = 0.002;

  private final NoteCourse course;
  private final SteadyPart steady;
  private final double brightness;

  Pulse(NoteCourse course, SteadyPart steady) {
    this.course = course;
    this.steady = steady;
    brightness =
        Arrays.stream(course.brightness, steady.first(), steady.last() + 1).average().orElse(1);
  }

  /** The swing of a loop beyond the note's, 1 where it begins to be heard. */
  double excess(Loop loop) {
    int from = loop.start() / course.hop;
    int count = Math.max(2, loop.length() / course.hop);
    int fade = Math.min(from, loop.fade() / course.hop);
    return Math.max(
        excess(course.level, from, count, fade, LEVEL_DB),
        excess(course.brightness, from, count, fade, BRIGHTNESS * brightness));
  }

  private double excess(double[] values, int from, int count, int fade, double min) {
    double own = swing(looped(values, from, count, fade), 0, count);
    int room = steady.last() - steady.first() - count;
    if (room <= 0) {
      return 0;
    }
    double[] others = new double[STRETCHES];
    for (int i = 0; i < STRETCHES; i++) {
      others[i] = swing(values, steady.first() + i * room / (STRETCHES - 1), count);
    }
    Arrays.sort(others);
    double usual = others[STRETCHES / 2];
    return Math.max(0, own - usual) / Math.max(min, MORE_THAN_USUAL * usual);
  }

  /** The values of a loop, whose end goes over into what lies before its start. */
  private static double[] looped(double[] values, int from, int count, int fade) {
    double[] looped = Arrays.copyOfRange(values, from, from + count);
    for (int i = 0; i < fade; i++) {
      double in = (i + 0.5) / fade;
      int at = count - fade + i;
      looped[at] = (1 - in) * looped[at] + in * values[from - fade + i];
    }
    return looped;
  }

  /** Amplitude of the swing that comes round once in {@code count} points. */
  private static double swing(double[] values, int from, int count) {
    double cos = Math.cos(2 * Math.PI / count);
    double sin = Math.sin(2 * Math.PI / count);
    double re = 0;
    double im = 0;
    double x = 1;
    double y = 0;
    for (int i = 0; i < count; i++) {
      re += values[from + i] * x;
      im += values[from + i] * y;
      double turned = x * cos - y * sin;
      y = x * sin + y * cos;
      x = turned;
    }
    return 2 * Math.hypot(re, im) / count;
  }
}
