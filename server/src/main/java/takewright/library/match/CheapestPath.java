package takewright.library.match;

import java.util.Arrays;

/**
 * The cheapest way through the regions and the cells of a take, both in order (dynamic programming,
 * as in the alignment of sequences by Needleman and Wunsch, 1970): a region may fill the next cell,
 * or the one before once more (a retake), or none; a cell may stay empty.
 *
 * @param cellOf cell of each region, or {@link Matching#NO_CELL}
 * @param cost of the whole path
 * @param breaksAt the first region from which on they fit worse than before
 */
record CheapestPath(int[] cellOf, double cost, int breaksAt) {
  /**
   * Cost a region below which a take fits its order: a level one spread off is 0.5, and real takes
   * with some retakes and missing notes came to 0.9.
   */
  static final double FITS = 1.2;

  private enum Step {
    NONE,
    FILL,
    RETAKE,
    EXTRA,
    MISSING
  }

  /**
   * Finds the cheapest path.
   *
   * @param n regions
   * @param m cells
   * @param isOver whether cells after the last region are missing, or may still come
   */
  static CheapestPath find(AlignmentCosts costs, int n, int m, boolean isOver) {
    // best[i][j]: i regions and j cells dealt with; filled says whether cell j - 1 has a region.
    double[][][] best = new double[2][n + 1][m + 1];
    Step[][][] step = new Step[2][n + 1][m + 1];
    boolean[][][] cameFilled = new boolean[2][n + 1][m + 1];
    for (double[][] plane : best) {
      for (double[] row : plane) {
        Arrays.fill(row, Double.POSITIVE_INFINITY);
      }
    }
    best[0][0][0] = 0;
    step[0][0][0] = Step.NONE;
    for (int i = 0; i <= n; i++) {
      for (int j = 0; j <= m; j++) {
        for (int filled = 0; filled < 2; filled++) {
          double cost = best[filled][i][j];
          if (cost == Double.POSITIVE_INFINITY) {
            continue;
          }
          boolean was = filled == 1;
          if (i < n && j < m) {
            offer(best, step, cameFilled, 1, i + 1, j + 1, cost + costs.fill(i, j), Step.FILL, was);
          }
          if (i < n && was) {
            double again = cost + costs.fill(i, j - 1) + costs.retake(i, j - 1);
            offer(best, step, cameFilled, 1, i + 1, j, again, Step.RETAKE, true);
          }
          if (i < n) {
            double extra = cost + costs.extra(i);
            offer(best, step, cameFilled, filled, i + 1, j, extra, Step.EXTRA, was);
          }
          if (j < m) {
            double missing = cost + (isOver || i < n ? costs.missing(j) : 0);
            offer(best, step, cameFilled, 0, i, j + 1, missing, Step.MISSING, was);
          }
        }
      }
    }
    double total = Math.min(best[0][n][m], best[1][n][m]);
    int[] cellOf = new int[n];
    int i = n;
    int j = m;
    int filled = best[1][n][m] <= best[0][n][m] ? 1 : 0;
    while (i > 0 || j > 0) {
      Step s = step[filled][i][j];
      int came = cameFilled[filled][i][j] ? 1 : 0;
      switch (s) {
        case FILL -> cellOf[--i] = --j;
        case RETAKE -> cellOf[--i] = j - 1;
        case EXTRA -> cellOf[--i] = Matching.NO_CELL;
        default -> j--;
      }
      filled = came;
    }
    return new CheapestPath(cellOf, total, breaksAt(best));
  }

  /**
   * Where the regions stop fitting: the region from which on what it costs to come so far rises by
   * more than {@link #FITS} each (the change point of a cumulative sum, Page, 1954).
   */
  private static int breaksAt(double[][][] best) {
    int n = best[0].length - 1;
    double[] soFar = new double[n + 1];
    for (int i = 0; i <= n; i++) {
      soFar[i] = Double.POSITIVE_INFINITY;
      for (double[][] plane : best) {
        for (double cost : plane[i]) {
          soFar[i] = Math.min(soFar[i], cost);
        }
      }
    }
    int at = 0;
    for (int i = 1; i < n; i++) {
      if (soFar[i] - FITS * i < soFar[at] - FITS * at) {
        at = i;
      }
    }
    return at;
  }

  private static void offer(
      double[][][] best,
      Step[][][] step,
      boolean[][][] cameFilled,
      int filled,
      int i,
      int j,
      double cost,
      Step how,
      boolean was) {
    if (cost < best[filled][i][j]) {
      best[filled][i][j] = cost;
      step[filled][i][j] = how;
      cameFilled[filled][i][j] = was;
    }
  }
}
