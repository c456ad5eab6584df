package takewright.denoise.band;

import java.util.Arrays;

/** Means over parts of a spectrum, of eight bins each. */
public final class Parts {
  /** Bins of a part. */
  public static final int SIZE = 8;

  private final int bins;
  private final float[] sums;

  public Parts(int bins) {
    this.bins = bins;
    sums = new float[(bins + SIZE - 1) / SIZE];
  }

  public int count() {
    return sums.length;
  }

  /** Takes the values whose means are then asked for. */
  public void take(float[] v) {
    take(v, bins);
  }

  /**
   * The same up to a bin, which whole parts end before; the means beyond are what they were.
   *
   * @return the number of those parts
   */
  public int take(float[] v, int end) {
    int count = (end + SIZE - 1) / SIZE;
    int whole = end / SIZE;
    for (int p = 0; p < whole; p++) {
      int k = p * SIZE;
      // SIZE of them, in pairs: none has to wait long for another.
      sums[p] =
          ((v[k] + v[k + 1]) + (v[k + 2] + v[k + 3]))
              + ((v[k + 4] + v[k + 5]) + (v[k + 6] + v[k + 7]));
    }
    for (int p = whole; p < count; p++) {
      sums[p] = 0;
      for (int k = p * SIZE; k < end; k++) {
        sums[p] += v[k];
      }
    }
    return count;
  }

  /** The sum over parts, from one to before another. */
  float sum(int from, int to) {
    float sum = 0;
    for (int p = from; p < to; p++) {
      sum += sums[p];
    }
    return sum;
  }

  /** The mean over the bins of a part and of those beside it. */
  public float mean(int middle, int reach) {
    int from = Math.max(0, middle - reach);
    int to = Math.min(sums.length, middle + reach + 1);
    float sum = 0;
    for (int p = from; p < to; p++) {
      sum += sums[p];
    }
    return sum / (Math.min(bins, to * SIZE) - from * SIZE);
  }

  /** Gives every bin the value of its part. */
  public void spread(float[] values, float[] out) {
    spread(values, out, bins);
  }

  /** The same for the bins before one. */
  public void spread(float[] values, float[] out, int end) {
    int whole = end / SIZE;
    for (int p = 0; p < whole; p++) {
      float value = values[p];
      int k = p * SIZE;
      // SIZE of them.
      out[k] = value;
      out[k + 1] = value;
      out[k + 2] = value;
      out[k + 3] = value;
      out[k + 4] = value;
      out[k + 5] = value;
      out[k + 6] = value;
      out[k + 7] = value;
    }
    if (whole * SIZE < end) {
      Arrays.fill(out, whole * SIZE, end, values[whole]);
    }
  }

  /** Whether a bin of a part has more than a limit. */
  static boolean passes(float[] v, int bins, int part, float limit) {
    int k = part * SIZE;
    if (k + SIZE <= bins) {
      // SIZE of them: a loop over so few takes three times as long.
      return v[k] > limit
          || v[k + 1] > limit
          || v[k + 2] > limit
          || v[k + 3] > limit
          || v[k + 4] > limit
          || v[k + 5] > limit
          || v[k + 6] > limit
          || v[k + 7] > limit;
    }
    for (; k < bins; k++) {
      if (v[k] > limit) {
        return true;
      }
    }
    return false;
  }
}
