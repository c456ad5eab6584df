package takewright.library.sample;

import java.util.EnumSet;
import java.util.Set;
import java.util.function.ToDoubleFunction;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.audio.Clip;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.dsp.Cents;
import takewright.pitch.Pitch;
import takewright.retune.Drift;
import takewright.retune.Retune;
import takewright.retune.RetuneSettings;

/**
 * How a note is tuned.
 *
 * @param heard what was heard; null if there is no pitch
 * @param centsBefore how far it was off the note that it should be, in cents, within half an
 *     octave; null if nothing was heard
 * @param moveCents how far to move it, in cents
 * @param addedCents how much of that a person added to what was measured, in cents
 * @param drift what to make level, counted from the note's heard pitch
 * @param flags {@code OUT_OF_TUNE} where it is so far off that nothing is moved; {@code
 *     DRIFT_LIMIT} where a part of the drift is left since taking it would go beyond; {@code
 *     OCTAVE_UNSURE} where it was heard in another octave than it should be
 */
public record Tuning(
    Pitch heard,
    Double centsBefore,
    double moveCents,
    double addedCents,
    Drift drift,
    Set<Flag> flags) {
  /** No sample is moved further than this, in cents: an octave. */
  private static final double MAX_MOVE_CENTS = 1200;

  /** A note, or none, that is moved by this many cents whatever it sounds like. */
  static Tuning shift(Pitch heard, Double centsBefore, double cents, Set<Flag> flags) {
    return new Tuning(heard, centsBefore, cents, 0, Drift.NONE, flags);
  }

  /**
   * Listens to a note.
   *
   * @param audio the note from its onset on
   * @param listening how it is listened to
   * @param centsOff how far a pitch is off where it should be, in cents
   * @param leanCents what its neighbours add to how far it is heard to be off, in cents
   * @param limitCents the most by which it is moved anywhere, in cents
   * @param steadyPitch whether its drift is made level
   */
  public static Tuning of(
      Clip audio,
      AnalyseSettings listening,
      ToDoubleFunction<Pitch> centsOff,
      double leanCents,
      double limitCents,
      boolean steadyPitch) {
    return of(
        audio,
        Analyse.pitch(audio, listening),
        listening,
        centsOff,
        leanCents,
        limitCents,
        steadyPitch);
  }

  /**
   * The same of a note that was listened to before.
   *
   * @param audio the note from its onset on; not needed where its drift stays
   * @param heard its pitch; null if none was heard
   */
  static Tuning of(
      Clip audio,
      Pitch heard,
      AnalyseSettings listening,
      ToDoubleFunction<Pitch> centsOff,
      double leanCents,
      double limitCents,
      boolean steadyPitch) {
    if (heard == null) {
      return shift(null, null, 0, Set.of(Flag.NO_PITCH));
    }
    double cents = centsOff.applyAsDouble(heard);
    // A wrong octave does not affect the tuning within it.
    double before = Cents.withinOctave(cents);
    Set<Flag> flags = EnumSet.noneOf(Flag.class);
    if (Math.abs(cents - before) > 1) {
      flags.add(Flag.OCTAVE_UNSURE);
    }
    // What is uncertain is not blamed on the player.
    double limit = limitCents + (heard.isExact() ? heard.centsUncertainty() : 0);
    if (Math.abs(before) > limit) {
      flags.add(Flag.OUT_OF_TUNE);
      return shift(heard, before, 0, flags);
    }
    Drift drift = Drift.NONE;
    double off = Math.max(-limitCents, Math.min(limitCents, before + leanCents));
    if (steadyPitch) {
      Drift whole = Drift.of(audio.mono(), audio.sampleRate(), heard.frequencyHz());
      drift = held(whole, before, limitCents);
      // The pitch after removing the drift need not be the mean of the pitch before.
      Clip level = Retune.apply(audio, new RetuneSettings(0, 0, drift));
      Pitch after = Analyse.pitch(level, listening);
      double left = after == null ? before : Cents.withinOctave(centsOff.applyAsDouble(after));
      off = Math.max(-limitCents, Math.min(limitCents, left));
      drift = held(drift, off, limitCents);
      if (drift.range() < whole.range()) {
        flags.add(Flag.DRIFT_LIMIT);
      }
    }
    return new Tuning(heard, before, -off, 0, drift, flags);
  }

  /** The same, moved further by the cents that a person asks for; at most by an octave in all. */
  Tuning adding(double cents) {
    double all = Math.max(-MAX_MOVE_CENTS, Math.min(MAX_MOVE_CENTS, moveCents + cents));
    // It is not left as it sounds then.
    Set<Flag> left = cents == 0 ? flags : Flags.without(flags, Flag.OUT_OF_TUNE);
    return new Tuning(heard, centsBefore, all, all - moveCents, drift, left);
  }

  /** One standard deviation of how far it was off, in cents; null where that is not known. */
  Double uncertaintyCents() {
    return heard == null || !heard.isExact() ? null : (Double) heard.centsUncertainty();
  }

  /** How far off the note will be, in cents; null if nothing was heard. */
  Double centsAfter() {
    if (centsBefore == null) {
      return null;
    }
    // With its drift made level it is moved by what was heard of it then.
    return drift.isNone() ? centsBefore + moveCents : addedCents;
  }

  /** The drift that can be removed without moving anything beyond the limit. */
  private static Drift held(Drift drift, double off, double limit) {
    return drift.within(-limit - off, limit - off);
  }
}
