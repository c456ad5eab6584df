package takewright.segment.flaw;

import java.util.Arrays;

/**
 * The most that is heard between the partials of any of some notes, beside how loud each is: in
 * each stage of a note and in each band of some neighbouring ones.
 */
public final class NoiseHabit {
  /** Neighbouring bands that a mean is taken of, so that no single partial decides. */
  private static final int WIDE = 5;

  /** The first of them begins at 762 Hz: lower, bows swell and halls boom. */
  private static final int FROM_BAND = 8;

  private final int minNotes;
  private double[][] most = new double[0][];
  private int[][] notes = new int[0][];

  /**
   * A habit of no notes yet.
   *
   * @param minNotes what fewer notes have in common says nothing
   */
  public NoiseHabit(int minNotes) {
    this.minNotes = minNotes;
  }

  /** Takes in another note. */
  public void add(NoiseCourse course) {
    int stages = Math.max(most.length, course.stages());
    int places = Math.max(0, course.bands() - FROM_BAND - WIDE + 1);
    most = Arrays.copyOf(most, stages);
    notes = Arrays.copyOf(notes, stages);
    for (int s = 0; s < course.stages(); s++) {
      if (most[s] == null) {
        most[s] = new double[places];
        notes[s] = new int[places];
        Arrays.fill(most[s], Double.NEGATIVE_INFINITY);
      }
      for (int p = 0; p < places; p++) {
        double level = course.mean(s, FROM_BAND + p, WIDE);
        if (!Double.isNaN(level)) {
          most[s][p] = Math.max(most[s][p], level);
          notes[s][p]++;
        }
      }
    }
  }

  /**
   * By how much more is heard beside a note than beside any of those, in dB, where that is most;
   * less than 0 where some of them have more everywhere.
   */
  public double overDb(NoiseCourse course) {
    double over = Double.NEGATIVE_INFINITY;
    for (int s = 0; s < Math.min(most.length, course.stages()); s++) {
      for (int p = 0; p < most[s].length; p++) {
        double level = course.mean(s, FROM_BAND + p, WIDE);
        if (notes[s][p] >= minNotes && level - most[s][p] > over) {
          over = level - most[s][p];
        }
      }
    }
    return over;
  }
}
