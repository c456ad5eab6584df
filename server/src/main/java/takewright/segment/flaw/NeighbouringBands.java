package takewright.segment.flaw;

import java.util.List;

/** What neighbouring bands do together: noise alone does not move three of them at once. */
public final class NeighbouringBands {
  private NeighbouringBands() {}

  /**
   * By column, the most that any three neighbouring bands all reach; 0 where none does, and with
   * fewer bands.
   *
   * @param bands values by column, 0 or above, of bands in their order
   * @param count columns
   */
  public static float[] together(List<float[]> bands, int count) {
    float[] most = new float[count];
    for (int b = 2; b < bands.size(); b++) {
      float[] low = bands.get(b - 2);
      float[] middle = bands.get(b - 1);
      float[] high = bands.get(b);
      for (int i = 0; i < count; i++) {
        most[i] = Math.max(most[i], Math.min(high[i], Math.min(middle[i], low[i])));
      }
    }
    return most;
  }
}
