package takewright.loop;

/**
 * A loop, and what is heard where it turns round.
 *
 * @param likeness correlation of the waveforms that are faded into each other, -1 to 1
 * @param dipDb how far the level dips in the fade beyond the note's own dips
 * @param db step of the level
 * @param timbre step of the spectral centroid, as a share of it
 * @param cents how far the loop's mean pitch lies from the note's
 * @param tickDb hiss at the seam beyond what the note has elsewhere
 * @param pulse swing of level or timbre at the loop's rate beyond what the note has there, 1 where
 *     it begins to be heard
 * @param pairCost what the two moments cost by themselves
 * @param limits what is not heard in this note
 */
record Seam(
    Loop loop,
    double likeness,
    double dipDb,
    double db,
    double timbre,
    double cents,
    double tickDb,
    double pulse,
    double pairCost,
    InaudibleStep limits) {
  /**
   * Steps that are not heard.
   *
   * @param db of the level
   * @param timbre of the spectral centroid, as a share of it
   */
  record InaudibleStep(double db, double timbre) {
    /** In a still note: 1 dB and 5 %. */
    private static final InaudibleStep STILL = new InaudibleStep(1, 0.05);

    /** In a note that moves by so much all the time. */
    static InaudibleStep of(double usualDb, double usualTimbre) {
      return new InaudibleStep(Math.max(STILL.db, usualDb), Math.max(STILL.timbre, usualTimbre));
    }
  }

  /**
   * What is not heard: 1 cent, and a fifth of the power out of step. Waveforms that are less in
   * step are not heard either where they dip no deeper than the note does by itself.
   */
  private static final double MAX_CENTS = 1;

  /** In units of what begins to be heard. */
  private static final double MAX_PULSE = 3;

  private static final double IN_STEP = 0.8;

  private static final double MIN_LIKENESS = 0.6;

  /** A fair loop may have three times as much, and waveforms that are half in step. */
  private static final double FAIR = 3;

  private static final double FAIR_LIKENESS = 0.5;

  /** What is heard costs more than anything that is not. */
  private static final double FAULT_COST = 100;

  /** The same with a dip of the level. */
  Seam fading(double dip) {
    return new Seam(loop, likeness, dip, db, timbre, cents, tickDb, pulse, pairCost, limits);
  }

  /** The same with a pulse. */
  Seam pulsing(double swing) {
    return new Seam(loop, likeness, dipDb, db, timbre, cents, tickDb, swing, pairCost, limits);
  }

  /** The same with a step of the spectral centroid. */
  Seam changing(double step) {
    return new Seam(loop, likeness, dipDb, db, step, cents, tickDb, pulse, pairCost, limits);
  }

  /** What all of it costs: no less for anything that is heard besides. */
  double cost() {
    return pairCost
        + 10 * (1 - likeness)
        + dipDb * dipDb
        + square(db / limits.db())
        + square(timbre / limits.timbre())
        + cents * cents
        + tickDb * tickDb
        + pulse * pulse
        + (fault() == null ? 0 : FAULT_COST);
  }

  /** What can be heard; null if nothing can. */
  LoopFault fault() {
    boolean isHidden = likeness >= IN_STEP || dipDb == 0;
    return isHidden ? fault(1, MIN_LIKENESS) : LoopFault.WAVEFORM;
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
    if (db > times * limits.db()) {
      return LoopFault.LEVEL;
    }
    if (timbre > times * limits.timbre()) {
      return LoopFault.TIMBRE;
    }
    if (cents > times * MAX_CENTS) {
      return LoopFault.PITCH;
    }
    return pulse > times * MAX_PULSE ? LoopFault.PULSE : null;
  }

  private static double square(double x) {
    return x * x;
  }
}
