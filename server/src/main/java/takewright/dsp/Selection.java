package takewright.dsp;

/**
 * Values by their rank, without sorting all of them: C. A. R. Hoare, "Algorithm 65: Find",
 * Communications of the ACM 4(7), 1961.
 */
public final class Selection {
  private Selection() {}

  /**
   * What would stand at an index if the first values were sorted. Afterwards none before that index
   * is greater, and none behind it is less.
   *
   * @param values numbers, whose order changes
   * @param count how many of them count, 1 or more
   * @param wanted the index, 0 to {@code count} - 1
   */
  public static float find(float[] values, int count, int wanted) {
    return find(values, 0, count, wanted);
  }

  /**
   * The same among some of the values.
   *
   * @param values numbers, whose order changes within the part
   * @param from index of the part's first
   * @param to index behind its last
   * @param wanted the index if the part were sorted, {@code from} to {@code to} - 1
   */
  public static float find(float[] values, int from, int to, int wanted) {
    int low = from;
    int high = to - 1;
    while (low < high) {
      float pivot = values[wanted];
      int i = low;
      int j = high;
      while (i <= j) {
        while (values[i] < pivot) {
          i++;
        }
        while (values[j] > pivot) {
          j--;
        }
        if (i <= j) {
          float swapped = values[i];
          values[i++] = values[j];
          values[j--] = swapped;
        }
      }
      if (j < wanted) {
        low = i;
      }
      if (i > wanted) {
        high = j;
      }
    }
    return values[wanted];
  }

  /** The median of the first {@code count} values, 1 or more; their order changes. */
  public static double median(float[] values, int count) {
    int middle = count / 2;
    float above = find(values, count, middle);
    if (count % 2 == 1) {
      return above;
    }
    float below = values[0];
    for (int i = 1; i < middle; i++) {
      below = Math.max(below, values[i]);
    }
    return ((double) below + above) / 2;
  }
}
