package takewright.library.follow;

import java.util.Set;
import takewright.diagnosis.Flag;
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

  static Judgement of(CellStatus status, Set<Flag> flags) {
    return switch (status) {
      case KEPT -> ofSound(flags);
      case RETAKE, EXTRA -> EXTRA;
      case REJECTED, MISSING -> LEFT_OUT;
    };
  }

  /** What to make of a note for how it sounds, whether or not another attempt is used. */
  static Judgement ofSound(Set<Flag> flags) {
    if (flags.contains(Flag.FORCED)) {
      return GOOD;
    }
    int weight = flags.stream().mapToInt(Flag::weight).max().orElse(0);
    if (weight >= AGAIN_WEIGHT) {
      return AGAIN;
    }
    return weight > 0 ? LISTEN : GOOD;
  }
}
