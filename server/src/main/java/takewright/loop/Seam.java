package takewright.loop;

/**
 * A loop, and what is heard where it turns round.
 *
 * @param likeness correlation of the waveforms that are faded into each other, -1 to 1
 * @param db step of the level
 * @param timbre step of the spectral centroid, as a share of it
 * @param cents how far the loop's mean pitch lies from the note's
 * @param tickDb hiss at the seam beyond what the note has elsewhere
 * @param pulse swing of level or timbre at the loop's rate beyond what the note has there, 1 where
 *     it begins to be heard
 * @param pairCost what the two moments cost by themselves
 */
record Seam(
    Loop loop,
    double likeness,
    double db,
    double timbre,
    double cents,
    double tickDb,
    double pulse,
    double pairCost) {
  /** What is not heard: 1 dB, 5 %, 1 cent, and a fifth of the power out of step. */
  private static final double MAX_DB = 1;

  private static final double MAX_TIMBRE = 0.05;
  private static final double MAX_CENTS = 1;
  private static final double MIN_LIKENESS = 0.8;

  /** A fair loop may have three times as much, and waveforms that are half in step. */
  private static final double FAIR = 3;

  private static final double FAIR_LIKENESS = 0.5;

  /** What is heard costs more than anything that is not. */
  private static final double FAULT_COST = 100;

  double cost() {
    return pairCost
        + 10 * (1 - likeness)
        + db * db
        + timbre * timbre / (MAX_TIMBRE * MAX_TIMBRE)
        + cents * cents
        + tickDb * tickDb
        + pulse * pulse
        + (fault() == null ? 0 : FAULT_COST);
  }

  /** What can be heard; null if nothing can. */
  LoopFault fault() {
    return fault(1, MIN_LIKENESS);
  }

  /** Whether it may be used where there is no better one. */
  boolean isUsable() {
    return fault(FAIR, FAIR_LIKENESS) == null;
  }

  /** What keeps it from being used. */
  LoopFault worst() {
    return fault(FAIR, FAIR_LIKENESS);
  }

  private LoopFault fault(double times, double minLikeness) {
    if (likeness < minLikeness) {
      return LoopFault.WAVEFORM;
    }
    if (db > times * MAX_DB) {
      return LoopFault.LEVEL;
    }
    if (timbre > times * MAX_TIMBRE) {
      return LoopFault.TIMBRE;
    }
    return cents > times * MAX_CENTS ? LoopFault.PITCH : null;
  }
}
