package takewright.segment.flaw;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import takewright.dsp.Decibels;

/**
 * What is heard between a note's partials from its beginning on: the most in each stage of it, by
 * band. By it two attempts at one note are laid beside each other, however short they are.
 *
 * <p>A scratch, a knock, a word and a wrong note only add to what is there. Where two attempts are
 * merely played differently, now the one and now the other has more.
 */
public final class NoiseCourse {
  /** Columns of the first stage, which is a note's attack. */
  private static final int FIRST = 4;

  /** Columns of the longest stages (0.34 s): two attempts go no more apart in time than that. */
  private static final int LONGEST = 16;

  /** A note without partials that are followed is as loud as this mean square. */
  private static final double LEAST_POWER = 1e-14;

  /** Nothing is heard. */
  public static final NoiseCourse NONE = new NoiseCourse(new float[0][], new double[0]);

  /** Levels in dB by stage and band; NaN for a band that says nothing. */
  private final float[][] most;

  /** Level of the note's partials in dB by stage. */
  private final double[] partialsDb;

  private NoiseCourse(float[][] most, double[] partialsDb) {
    this.most = most;
    this.partialsDb = partialsDb;
  }

  /**
   * The course of a note.
   *
   * @param levels between its partials in neighbouring bands, in dB by column; null for a band that
   *     says nothing
   * @param columns of the note; a stage that is longer than what is left is left out
   * @param partials their power by column, on the same scale, at least as many columns
   */
  public static NoiseCourse of(List<float[]> levels, int columns, float[] partials) {
    List<float[]> stages = new ArrayList<>();
    List<Double> partialsDb = new ArrayList<>();
    int begin = 0;
    for (int end = FIRST; end <= columns; end = end(begin)) {
      float[] stage = new float[levels.size()];
      for (int b = 0; b < stage.length; b++) {
        stage[b] = most(levels.get(b), begin, end);
      }
      stages.add(stage);
      partialsDb.add(meanDb(partials, begin, end));
      begin = end;
    }
    return new NoiseCourse(
        stages.toArray(float[][]::new),
        partialsDb.stream().mapToDouble(Double::doubleValue).toArray());
  }

  private static double meanDb(float[] power, int from, int to) {
    double sum = 0;
    for (int i = from; i < to; i++) {
      sum += power[i];
    }
    return Decibels.fromPower(Math.max(LEAST_POWER, sum / (to - from)));
  }

  private static float most(float[] level, int from, int to) {
    if (level == null) {
      return Float.NaN;
    }
    float most = level[from];
    for (int i = from + 1; i < to; i++) {
      most = Math.max(most, level[i]);
    }
    return most;
  }

  /** End of the stage that begins at a column: up to half as long as what lies before it. */
  private static int end(int begin) {
    return begin + Math.min(LONGEST, Integer.highestOneBit(begin / 2));
  }

  /**
   * By how much more is heard than beside another attempt at the note, in dB: the most that three
   * neighbouring bands have more of on average in any stage in which both go on. A louder attempt
   * may have as much more as it is louder on average in these stages: over all of each, the one
   * that is heard for longer, and so dies away further, would seem the softer.
   */
  public double moreDb(NoiseCourse other) {
    double more = 0;
    // Where the other is let go while this one goes on, what lies beside them says nothing.
    int stages = Math.min(most.length, other.most.length);
    stages -= other.most.length < most.length ? 1 : 0;
    double louder = louderDb(other, stages);
    for (int s = 0; s < stages; s++) {
      for (int b = 2; b < most[s].length; b++) {
        double together = 0;
        for (int k = b - 2; k <= b; k++) {
          float over = most[s][k] - other.most[s][k];
          together += Float.isNaN(over) ? 0 : over - louder;
        }
        more = Math.max(more, together / 3);
      }
    }
    return more;
  }

  /** By how much this note is louder in its first stages, in dB; 0 where it is softer. */
  private double louderDb(NoiseCourse other, int stages) {
    double sum = 0;
    for (int s = 0; s < stages; s++) {
      sum += partialsDb[s] - other.partialsDb[s];
    }
    return Math.max(0, sum / Math.max(1, stages));
  }

  @Override
  public boolean equals(Object other) {
    return other instanceof NoiseCourse course
        && Arrays.equals(partialsDb, course.partialsDb)
        && Arrays.deepEquals(most, course.most);
  }

  @Override
  public int hashCode() {
    return 31 * Arrays.deepHashCode(most) + Arrays.hashCode(partialsDb);
  }

  @Override
  public String toString() {
    return "NoiseCourse[stages=" + most.length + ", dB=" + Arrays.toString(partialsDb) + "]";
  }
}
