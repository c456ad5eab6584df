package takewright.loop;

import java.util.Arrays;

/**
 * How much a loop pulses: the swing of its level and timbre at the rate at which it comes round,
 * beyond what the note has at that rate anyway. A note that lives swings at all rates; a loop
 * gathers all of it in one.
 */
final class Pulse {
  /** Stretches of the note that are compared with the loop. */
  private static final int STRETCHES = 9;

  /** What the note has may be passed by 1 dB. */
  private static final double USUAL = 1.122;

  /** Swings that are heard by whoever waits for them: an eighth of a decibel, and 1 %. */
  private static final double LEVEL_DB = 0.12;

  private static final double BRIGHTNESS = 0.01;

  private final NoteCourse course;
  private final SteadyPart steady;
  private final double brightness;

  Pulse(NoteCourse course, SteadyPart steady) {
    this.course = course;
    this.steady = steady;
    brightness =
        Arrays.stream(course.brightness, steady.first(), steady.last() + 1).average().orElse(1);
  }

  /** The swing of a loop between two frames beyond the note's, 1 where it begins to be heard. */
  double excess(int start, int end) {
    int from = start / course.hop;
    int count = Math.max(2, (end - start) / course.hop);
    return Math.max(
        excess(course.level, from, count) / LEVEL_DB,
        excess(course.brightness, from, count) / (BRIGHTNESS * brightness));
  }

  private double excess(double[] values, int from, int count) {
    double own = swing(values, from, count);
    int room = steady.last() - steady.first() - count;
    if (room <= 0) {
      return 0;
    }
    double[] others = new double[STRETCHES];
    for (int i = 0; i < STRETCHES; i++) {
      others[i] = swing(values, steady.first() + i * room / (STRETCHES - 1), count);
    }
    Arrays.sort(others);
    return Math.max(0, own - USUAL * others[STRETCHES / 2]);
  }

  /** Amplitude of the swing that comes round once in {@code count} points. */
  private static double swing(double[] values, int from, int count) {
    double re = 0;
    double im = 0;
    for (int i = 0; i < count; i++) {
      double angle = 2 * Math.PI * i / count;
      re += values[from + i] * Math.cos(angle);
      im += values[from + i] * Math.sin(angle);
    }
    return 2 * Math.hypot(re, im) / count;
  }
}
