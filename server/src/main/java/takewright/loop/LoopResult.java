package takewright.loop;

/**
 * What came of a search.
 *
 * @param loop the best loop; null if there is none
 * @param fault what a fair loop falls short in, or why there is none; null for a good loop
 * @param likeness correlation of the waveforms on both sides of the seam, -1 to 1; NaN if they were
 *     not compared
 */
public record LoopResult(Loop loop, LoopFault fault, double likeness) {
  /** No loop was looked for. */
  public static final LoopResult NOT_WANTED = new LoopResult(null, null, Double.NaN);

  static LoopResult none(LoopFault why) {
    return new LoopResult(null, why, Double.NaN);
  }

  /** Whether the loop can be used, but a careful listener hears where it turns round. */
  public boolean isFair() {
    return loop != null && fault != null;
  }
}
