package takewright.sheet.decision;

/**
 * A person's word on the loop of a sample.
 *
 * @param wanted whether it is to have one
 * @param startS where the loop begins in the take, in seconds; null where it is looked for
 * @param endS where it ends in the take, in seconds; null where it is looked for
 */
public record LoopChoice(boolean wanted, Double startS, Double endS) {
  /** No loop. */
  public static final LoopChoice NONE = new LoopChoice(false, null, null);

  /** The best loop that is found. */
  public static final LoopChoice FOUND = new LoopChoice(true, null, null);

  /** Whether it says where the loop lies. */
  public boolean isPlaced() {
    return startS != null;
  }
}
