package takewright.library.match;

import java.util.EnumSet;
import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.dsp.Cents;

/** What of its pitch contradicts the note that a sound is named after. */
public final class OffItsNote {
  /** Further from its note than this, in cents, a sound is nearer to another. */
  private static final double QUARTER_TONE_CENTS = 50;

  private OffItsNote() {}

  /**
   * The flags of a sound.
   *
   * @param cents how far it sounds from its note, octaves included
   * @param centsBefore how far it sounded from its note before it was tuned
   * @param uncertaintyCents of its pitch: what is uncertain is not blamed on the player
   */
  public static Set<Flag> of(double cents, double centsBefore, double uncertaintyCents) {
    Set<Flag> flags = EnumSet.noneOf(Flag.class);
    double within = Cents.withinOctave(cents);
    if (Math.abs(cents - within) > 1) {
      flags.add(Flag.OCTAVE_UNSURE);
    }
    double most = Math.max(Math.abs(centsBefore), Math.abs(within));
    if (most > QUARTER_TONE_CENTS + uncertaintyCents) {
      flags.add(Flag.QUARTER_TONE_OFF);
    }
    return flags;
  }
}
