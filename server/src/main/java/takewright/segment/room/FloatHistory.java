package takewright.segment.room;

import java.util.Arrays;

/** The last values of a long row of floats, found by their place in the row. */
public final class FloatHistory {
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

  /** The first place whose value is still kept. */
  long first() {
    return Math.max(0, end - ring.length);
  }

  void append(float[] values, int offset, int count) {
    int done = 0;
    while (done < count) {
      int at = (int) ((end + done) & (ring.length - 1));
      int n = Math.min(count - done, ring.length - at);
      System.arraycopy(values, offset + done, ring, at, n);
      done += n;
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
  public void copy(long from, float[] into, int count) {
    int first = (int) Math.max(0, Math.min(count, first() - from));
    int last = (int) Math.max(first, Math.min(count, end - from));
    Arrays.fill(into, 0, first, 0);
    Arrays.fill(into, last, count, 0);
    int done = first;
    while (done < last) {
      int at = (int) ((from + done) & (ring.length - 1));
      int n = Math.min(last - done, ring.length - at);
      System.arraycopy(ring, at, into, done, n);
      done += n;
    }
  }
}
