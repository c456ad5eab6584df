package takewright.service.session;

import takewright.diagnosis.Flag;
import takewright.library.Follow;
import takewright.v1.NoteVerdict;

/** What to make of a note at once, while the player is still there. */
final class Verdicts {
  /**
   * Flags of this weight and more say that something is wrong with the note itself, such as clipped
   * peaks or a scratch; lighter ones that it deserves a listen.
   */
  private static final int AGAIN_WEIGHT = 60;

  private Verdicts() {}

  static NoteVerdict of(Follow.Note note) {
    return switch (note.status()) {
      case KEPT -> ofKept(note);
      case RETAKE, EXTRA -> NoteVerdict.NOTE_VERDICT_EXTRA;
      case REJECTED, MISSING -> NoteVerdict.NOTE_VERDICT_LEFT_OUT;
    };
  }

  private static NoteVerdict ofKept(Follow.Note note) {
    if (note.flags().contains(Flag.FORCED)) {
      return NoteVerdict.NOTE_VERDICT_GOOD;
    }
    int weight = note.flags().stream().mapToInt(Flag::weight).max().orElse(0);
    if (weight >= AGAIN_WEIGHT) {
      return NoteVerdict.NOTE_VERDICT_AGAIN;
    }
    return weight > 0 ? NoteVerdict.NOTE_VERDICT_LISTEN : NoteVerdict.NOTE_VERDICT_GOOD;
  }
}
