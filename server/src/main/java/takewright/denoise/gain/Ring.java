package takewright.denoise.gain;

/** Copies between blocks and rings, in which frame n stands at n modulo the length. */
final class Ring {
  private Ring() {}

  /**
   * Copies samples to where frames from {@code to} on stand.
   *
   * @param ring its length is a power of two of at least {@code count}
   */
  static void put(float[] from, int at, int count, float[] ring, long to) {
    int start = (int) to & (ring.length - 1);
    int first = Math.min(count, ring.length - start);
    System.arraycopy(from, at, ring, start, first);
    System.arraycopy(from, at + first, ring, 0, count - first);
  }

  /** Copies the frames from {@code from} on to the beginning of {@code to}. */
  static void take(float[] ring, long from, float[] to, int count) {
    int start = (int) from & (ring.length - 1);
    int first = Math.min(count, ring.length - start);
    System.arraycopy(ring, start, to, 0, first);
    System.arraycopy(ring, 0, to, first, count - first);
  }
}
