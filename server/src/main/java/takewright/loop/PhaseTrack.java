package takewright.loop;

import takewright.dsp.HarmonicTrack;

/** How many cycles of its fundamental a note has gone through at each moment. */
final class PhaseTrack {
  private static final int PLACE_BITS = 32;
  private static final long PLACE = 1L << PLACE_BITS;

  /** The bits of 1.0, and how many of a double's bits are its mantissa. */
  private static final long ONE = 0x3ff0_0000_0000_0000L;

  private static final int MANTISSA_BITS = 52;

  private final double hop;
  private final double cyclesPerFrame;

  /** By place: cycles beyond those that the expected frequency would have made. */
  private final double[] ahead;

  PhaseTrack(float[] x, int sampleRate, double hz) {
    HarmonicTrack track = new HarmonicTrack(x, 0, x.length, sampleRate, hz);
    hop = track.hop();
    cyclesPerFrame = hz / sampleRate;
    ahead = new double[track.size()];
    for (int i = 1; i < ahead.length; i++) {
      double deviation = track.deviation(i);
      ahead[i] = ahead[i - 1] + (Double.isNaN(deviation) ? 0 : deviation * cyclesPerFrame * hop);
    }
  }

  /** Cycles beyond the expected, at a frame; between places along a straight line. */
  double ahead(double frame) {
    double place = Math.max(0, Math.min(ahead.length - 1.0, frame / hop));
    int i = Math.min(ahead.length - 2, (int) place);
    return i < 0 ? 0 : ahead[i] + (place - i) * (ahead[i + 1] - ahead[i]);
  }

  /** Mean pitch from one frame to another, in cents above the expected. */
  double cents(int from, int to) {
    double share = (ahead(to) - ahead(from)) / ((to - from) * cyclesPerFrame);
    return 1200 / Math.log(2) * Math.log(1 + share);
  }

  /** Cycles beyond the expected around a frame: every {@code step} frames within a reach. */
  double[] around(int frame, int reach, int step) {
    double[] around = new double[2 * reach / step + 1];
    around(frame, reach, step, around);
    return around;
  }

  private void around(int frame, int reach, int step, double[] to) {
    double first = (frame - reach) / hop;
    double each = step / hop;
    if (first < 0 || first + to.length * each >= ahead.length - 1) {
      for (int i = 0; i < to.length; i++) {
        to[i] = ahead(frame + (double) (i * step - reach));
      }
      return;
    }
    // In units of 2^-32 places: a conversion to double waits for what its register held before
    // (HotSpot 17), and a value took 11 ns instead of 2.
    long place = (long) (first * PLACE);
    long next = (long) (each * PLACE);
    for (int i = 0; i < to.length; i++) {
      int before = (int) (place >>> PLACE_BITS);
      double share =
          Double.longBitsToDouble(ONE | (place & PLACE - 1) << MANTISSA_BITS - PLACE_BITS) - 1;
      double below = ahead[before];
      to[i] = below + share * (ahead[before + 1] - below);
      place += next;
    }
  }

  /**
   * How much the phase between two places comes and goes around them: its variance in cycles
   * squared. 0 means that the waveforms stay in step throughout.
   *
   * @param around the phase around the first place, of {@link #around}
   * @param frame the other place
   * @param reach frames on either side, as around the first
   * @param step frames from one moment to the next, as around the first
   * @param there as long as {@code around}; receives the phase around the other place
   */
  double slip(double[] around, int frame, int reach, int step, double[] there) {
    around(frame, reach, step, there);
    double sum = 0;
    double squares = 0;
    for (int i = 0; i < around.length; i++) {
      double d = there[i] - around[i];
      sum += d;
      squares += d * d;
    }
    double mean = sum / around.length;
    return Math.max(0, squares / around.length - mean * mean);
  }
}
