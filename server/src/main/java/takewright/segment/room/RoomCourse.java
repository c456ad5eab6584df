package takewright.segment.room;

import java.util.Arrays;
import takewright.dsp.Decibels;

/** What was learnt of the room over a take: how loud it is, and how loud a sound must be. */
public final class RoomCourse {
  private final double stepS;
  private float[] levelDbfs = new float[64];
  private float[] startDbfs = new float[64];
  private int steps;

  /**
   * @param stepS seconds from one step to the next
   */
  public RoomCourse(double stepS) {
    this.stepS = stepS;
  }

  public void add(double level, double start) {
    if (steps == levelDbfs.length) {
      levelDbfs = Arrays.copyOf(levelDbfs, 2 * steps);
      startDbfs = Arrays.copyOf(startDbfs, 2 * steps);
    }
    levelDbfs[steps] = decibels(level);
    startDbfs[steps++] = decibels(start);
  }

  private static float decibels(double meanSquare) {
    return (float) Decibels.fromPower(Math.max(1e-20, meanSquare));
  }

  /** Number of steps, from the beginning of what was read. */
  public int steps() {
    return steps;
  }

  /** Seconds from one step to the next. */
  public double stepS() {
    return stepS;
  }

  /** The room at a step, RMS in dBFS; -200 where it is silent. */
  public double levelDbfs(int step) {
    return levelDbfs[step];
  }

  /**
   * From where on a sound that is as broad as the room starts a region at a step, RMS in dBFS. One
   * that lies in few bands starts lower.
   */
  public double startDbfs(int step) {
    return startDbfs[step];
  }

  @Override
  public boolean equals(Object other) {
    return other instanceof RoomCourse that
        && stepS == that.stepS
        && Arrays.equals(levelDbfs, 0, steps, that.levelDbfs, 0, that.steps)
        && Arrays.equals(startDbfs, 0, steps, that.startDbfs, 0, that.steps);
  }

  @Override
  public int hashCode() {
    return Arrays.hashCode(Arrays.copyOf(levelDbfs, steps));
  }
}
