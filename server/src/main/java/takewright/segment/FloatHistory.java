package takewright.segment;

/** The last values of a long row of floats, found by their place in the row. */
final class FloatHistory {
  private final float[] ring;
  private long end;

  FloatHistory(int atLeast) {
    int size = Integer.highestOneBit(Math.max(1, atLeast - 1)) * 2;
    ring = new float[size];
  }

  /** Place of the next value: the number of values so far. */
  long end() {
    return end;
  }

  void append(float[] values, int offset, int count) {
    int mask = ring.length - 1;
    for (int i = 0; i < count; i++) {
      ring[(int) ((end + i) & mask)] = values[offset + i];
    }
    end += count;
  }

  void append(float value) {
    ring[(int) (end & (ring.length - 1))] = value;
    end++;
  }

  float get(long place) {
    return ring[(int) (place & (ring.length - 1))];
  }

  /** Copies values from a place on; those before the row, gone, or not there yet read as 0. */
  void copy(long from, float[] into, int count) {
    int mask = ring.length - 1;
    long oldest = Math.max(0, end - ring.length);
    for (int i = 0; i < count; i++) {
      long place = from + i;
      into[i] = place >= oldest && place < end ? ring[(int) (place & mask)] : 0;
    }
  }
}
