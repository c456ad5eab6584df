package takewright.library.follow;

import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.sheet.cell.CellStatus;

/** What to make of a note at once, while the player is still there. */
public enum Judgement {
  /** It is good. */
  GOOD,
  /** It is a sample, but something about it deserves a listen. */
  LISTEN,
  /** Something is wrong with it, so that it should be played again. */
  AGAIN,
  /** The sheet does not ask for it, or its cell is full. */
  EXTRA,
  /** It is no note of the instrument. */
  LEFT_OUT;

  /**
   * Flags of this weight and more say that something is wrong with the note itself, such as clipped
   * peaks or a scratch; lighter ones that it deserves a listen.
   */
  private static final int AGAIN_WEIGHT = 60;

  /** Weigh as much, but are doubts of what was heard, which a second attempt would not settle. */
  private static final Set<Flag> DOUBTS = Flags.of(Flag.OCTAVE_UNSURE, Flag.UNSURE);

  /** Say something of the room and the microphone: another attempt would be the same. */
  private static final Set<Flag> OF_THE_ROOM = Flags.of(Flag.NOISY);

  static Judgement of(CellStatus status, Set<Flag> flags) {
    return switch (status) {
      case KEPT -> ofSound(flags);
      case RETAKE, EXTRA -> EXTRA;
      case REJECTED, MISSING -> LEFT_OUT;
    };
  }

  /** Of two judgements of how a note sounds, the one that finds more wrong with it. */
  Judgement orWorse(Judgement other) {
    return compareTo(other) >= 0 ? this : other;
  }

  /** What to make of a note for how it sounds, whether or not another attempt is used. */
  public static Judgement ofSound(Set<Flag> flags) {
    if (flags.contains(Flag.FORCED)) {
      return GOOD;
    }
    boolean isFaulty =
        flags.stream().anyMatch(flag -> flag.weight() >= AGAIN_WEIGHT && !DOUBTS.contains(flag));
    if (isFaulty) {
      return AGAIN;
    }
    return OF_THE_ROOM.containsAll(flags) ? GOOD : LISTEN;
  }
}
