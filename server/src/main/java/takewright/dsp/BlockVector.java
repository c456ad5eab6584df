package takewright.dsp;

import java.util.Arrays;

/**
 * A vector of samples, stored in rows of equal length so that dot products are fast.
 *
 * <p>HotSpot vectorises neither a sum of floats, whose order it may not change, nor a loop over two
 * arrays with different variable offsets (measured on Java 17). It does vectorise products that are
 * added to a row of sums, all indexed from 0: three times as fast as four sums side by side, with
 * fewer rounding errors. Not thread-safe.
 */
public final class BlockVector {
  /** Samples per row: enough for vector code, few enough that summing the last row costs little. */
  private static final int ROW = 256;

  private final float[][] rows;
  private final float[] sums = new float[ROW];
  private final float[] copied = new float[ROW];
  private final float[] copiedNext = new float[ROW];
  private int count;

  /** An empty vector with room for {@code max} samples. */
  public BlockVector(int max) {
    rows = new float[(max + ROW - 1) / ROW][ROW];
  }

  /**
   * Replaces the content with {@code count} samples from {@code at} on. Beyond the ends of the
   * audio it is silence.
   */
  public void load(float[] audio, int at, int count) {
    this.count = count;
    for (int done = 0; done < count; done += ROW) {
      copy(audio, at + done, rows[done / ROW], Math.min(ROW, count - done));
    }
  }

  private static void copy(float[] audio, int from, float[] row, int count) {
    int first = Math.min(count, Math.max(0, -from));
    int last = Math.max(first, Math.min(count, audio.length - from));
    Arrays.fill(row, 0, first, 0);
    if (last > first) {
      System.arraycopy(audio, from + first, row, first, last - first);
    }
    Arrays.fill(row, last, count, 0);
  }

  /** Dot product with another vector, over the shorter of the two. */
  public double dot(BlockVector other) {
    int n = Math.min(count, other.count);
    int whole = n / ROW;
    Arrays.fill(sums, 0);
    int row = 0;
    for (; row + 1 < whole; row += 2) {
      add(rows[row], other.rows[row], rows[row + 1], other.rows[row + 1], sums);
    }
    for (; row * ROW < n; row++) {
      add(rows[row], other.rows[row], sums, Math.min(ROW, n - row * ROW));
    }
    return total(sums);
  }

  /**
   * Dot product with samples that are needed once: the same as with a vector that has loaded them,
   * in four fifths of the time, since no more than two rows of them are copied at once.
   *
   * @param count of the samples from {@code at} on; beyond the ends of the audio they are silence
   */
  public double dot(float[] audio, int at, int count) {
    int n = Math.min(this.count, count);
    int whole = n / ROW;
    Arrays.fill(sums, 0);
    int row = 0;
    for (; row + 1 < whole; row += 2) {
      copy(audio, at + row * ROW, copied, ROW);
      copy(audio, at + (row + 1) * ROW, copiedNext, ROW);
      add(rows[row], copied, rows[row + 1], copiedNext, sums);
    }
    for (; row * ROW < n; row++) {
      int length = Math.min(ROW, n - row * ROW);
      copy(audio, at + row * ROW, copied, length);
      add(rows[row], copied, sums, length);
    }
    return total(sums);
  }

  private static void add(float[] a, float[] b, float[] c, float[] d, float[] to) {
    for (int i = 0; i < ROW; i++) {
      to[i] += a[i] * b[i] + c[i] * d[i];
    }
  }

  private static void add(float[] a, float[] b, float[] to, int count) {
    for (int i = 0; i < count; i++) {
      to[i] += a[i] * b[i];
    }
  }

  /** Adds up in eight independent sums. */
  private static double total(float[] sums) {
    float s0 = 0;
    float s1 = 0;
    float s2 = 0;
    float s3 = 0;
    float s4 = 0;
    float s5 = 0;
    float s6 = 0;
    float s7 = 0;
    for (int i = 0; i < ROW; i += 8) {
      s0 += sums[i];
      s1 += sums[i + 1];
      s2 += sums[i + 2];
      s3 += sums[i + 3];
      s4 += sums[i + 4];
      s5 += sums[i + 5];
      s6 += sums[i + 6];
      s7 += sums[i + 7];
    }
    return ((double) s0 + s1) + ((double) s2 + s3) + ((double) s4 + s5) + ((double) s6 + s7);
  }
}
