package takewright.denoise.band;

/** Sums over neighbouring bins, mirrored at both ends of the spectrum. */
public final class BinSums {
  private final int bins;
  private final int maxReach;
  private final float[] padded;
  private final float[] a;
  private final float[] b;

  /** A copy moved by some bins: with indices that differ HotSpot makes no vector code. */
  private final float[] moved;

  /**
   * @param bins bins of a spectrum
   * @param maxReach the widest reach that will be asked for, below {@code bins}
   */
  public BinSums(int bins, int maxReach) {
    this.bins = bins;
    this.maxReach = maxReach;
    this.padded = new float[bins + 2 * maxReach];
    this.a = new float[padded.length];
    this.b = new float[padded.length];
    this.moved = new float[padded.length];
  }

  /** The sum over {@code reach} bins each way; {@code out} may be {@code in}. */
  public void box(float[] in, int reach, float[] out) {
    mirror(in, reach);
    int end = bins + 2 * reach;
    if (reach == 1) {
      System.arraycopy(padded, 1, a, 0, bins);
      System.arraycopy(padded, 2, b, 0, bins);
      for (int k = 0; k < bins; k++) {
        out[k] = padded[k] + a[k] + b[k];
      }
      return;
    }
    // 2 reach + 1 bins, reach a power of two: sums of 2, 4, 8, ... bins, and one bin more.
    float[] from = padded;
    float[] to = a;
    int width = 1;
    for (; width < 2 * reach; width *= 2) {
      end -= width;
      System.arraycopy(from, width, moved, 0, end);
      for (int k = 0; k < end; k++) {
        to[k] = from[k] + moved[k];
      }
      from = to;
      to = to == a ? b : a;
    }
    System.arraycopy(padded, width, moved, 0, bins);
    for (int k = 0; k < bins; k++) {
      out[k] = from[k] + moved[k];
    }
  }

  private void mirror(float[] in, int reach) {
    if (reach < 1 || reach > maxReach || Integer.bitCount(reach) != 1) {
      throw new IllegalArgumentException("reach must be a power of two up to " + maxReach);
    }
    System.arraycopy(in, 0, padded, reach, bins);
    for (int k = 0; k < reach; k++) {
      padded[reach - 1 - k] = in[k];
      padded[reach + bins + k] = in[bins - 1 - k];
    }
  }
}
