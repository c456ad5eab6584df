package takewright.sheet;

import java.util.Locale;
import takewright.pitch.Kind;
import takewright.sheet.decision.LoopChoice;

/**
 * What is done to the samples of a take beyond cutting and cleaning.
 *
 * @param tuned whether each note is measured and brought in tune
 * @param shiftCents how far all of them are moved in pitch instead, in cents, -1200 to 1200; null
 *     if they are not
 * @param looped whether loops are looked for
 * @param wantsLoops whether a sample without a loop is to be flagged
 * @param trimmed whether the round robins of a note and dynamic are cut to the length of the
 *     shortest
 */
public record Treatment(
    boolean tuned, Double shiftCents, boolean looped, boolean wantsLoops, boolean trimmed) {
  /** The same with a person's choice of a loop; null for none. */
  public Treatment looping(LoopChoice choice) {
    return choice == null
        ? this
        : new Treatment(tuned, shiftCents, choice.wanted(), choice.wanted(), trimmed);
  }

  /** What is usual: notes are tuned and looped, what has no one pitch is not. */
  public static Treatment usual(Kind kind) {
    boolean note = kind == Kind.PITCHED;
    return new Treatment(note, null, note, false, false);
  }

  /** Whether it is harmonics, which sound at other pitches than the notes that stand for them. */
  public static boolean soundsElsewhere(String articulation) {
    String name = articulation == null ? "" : articulation.toLowerCase(Locale.ROOT);
    return name.contains("harmonic") || name.contains("flageolet");
  }
}
