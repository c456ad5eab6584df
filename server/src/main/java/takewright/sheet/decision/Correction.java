package takewright.sheet.decision;

import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;

/**
 * What a person corrects about one region and its samples. What is null stays as it was found.
 *
 * @param startS where it begins in the take, in seconds
 * @param endS where it ends in the take, in seconds
 * @param verdict whether it is a sample
 * @param cents added to the measured correction of its pitch, in cents, -1200 to 1200
 * @param gainDb added to the measured correction of its level, in dB, -40 to 40
 * @param loop its loop
 * @param cleaningDb how far the room's noise is lowered under it, in dB, 0 to 60; 0 for not at all
 * @param fades how long its samples fade
 * @param accepted flags that a person has heard and found right, so that they are not set
 */
public record Correction(
    Double startS,
    Double endS,
    Verdict verdict,
    Double cents,
    Double gainDb,
    LoopChoice loop,
    Double cleaningDb,
    FadeTimes fades,
    Set<Flag> accepted) {
  /** Nothing is corrected. */
  public static final Correction NONE =
      new Correction(null, null, null, null, null, null, null, FadeTimes.USUAL, Set.of());

  public Correction {
    accepted = Flags.copyOf(accepted);
  }

  /** Whether it moves the region's start or end. */
  public boolean movesBounds() {
    return startS != null || endS != null;
  }

  /** Both; what the later one says of the same thing holds. */
  public Correction then(Correction later) {
    return new Correction(
        later.startS == null ? startS : later.startS,
        later.endS == null ? endS : later.endS,
        later.verdict == null ? verdict : later.verdict,
        later.cents == null ? cents : later.cents,
        later.gainDb == null ? gainDb : later.gainDb,
        later.loop == null ? loop : later.loop,
        later.cleaningDb == null ? cleaningDb : later.cleaningDb,
        fades.then(later.fades),
        Flags.union(accepted, later.accepted));
  }
}
