package takewright.segment;

import takewright.analyse.PitchTrack;

/**
 * Tells a note from talk and knocks by how its pitch behaves. The limits are from measuring takes.
 */
final class SoundKind {
  /** Share of the votes on one pitch that makes a held note; talk wanders, and reached 0.49. */
  private static final double HELD_SHARE = 0.58;

  /**
   * The same for a short note, of which the attack is a large part; knocks have no votes at all.
   */
  private static final double SHORT_SHARE = 0.42;

  /** Shorter sounds are short notes, in seconds; the shortest line of talk is longer. */
  private static final double SHORT_S = 0.8;

  /** Share of voiced windows below which nothing was sung, spoken or played with a pitch. */
  private static final double VOICED = 0.35;

  /** Sounds shorter than this, in seconds, are knocks if they have no pitch. */
  private static final double KNOCK_S = 0.35;

  private SoundKind() {}

  /** Why a sound is none of the instrument's, in a word; null where it is one. */
  static String reject(SegmentSettings settings, PitchTrack.Summary heard, double seconds) {
    if (seconds * 1000 < settings.minLengthMs()) {
      return "too_short";
    }
    if (settings.kind() == null || settings.kind() == Kind.CLUSTER) {
      return null;
    }
    boolean voiced = !isUnvoiced(heard);
    switch (settings.kind()) {
      case UNPITCHED:
        // Longer than a hit rings, and with a voice in it.
        return voiced && seconds >= SHORT_S ? "talk" : null;
      case GLIDE:
      case PHRASE:
        return voiced || seconds >= KNOCK_S ? null : "knock";
      default:
        if (isNote(heard, seconds)) {
          return null;
        }
        return seconds < KNOCK_S ? "knock" : voiced ? "talk" : "no_pitch";
    }
  }

  /** Whether a sound is a held note for certain, however short. */
  static boolean holds(PitchTrack.Summary heard) {
    return heard.related() >= HELD_SHARE;
  }

  /** Whether there is hardly a pitch in a sound. */
  static boolean isUnvoiced(PitchTrack.Summary heard) {
    return heard.voiced() < VOICED;
  }

  private static boolean isNote(PitchTrack.Summary heard, double seconds) {
    return heard.related() >= (seconds < SHORT_S ? SHORT_SHARE : HELD_SHARE);
  }

  /** What a sound of a take of unknown kind is. */
  static Kind kind(PitchTrack.Summary heard, double seconds) {
    if (isNote(heard, seconds)) {
      return Kind.PITCHED;
    }
    return isUnvoiced(heard) || seconds < KNOCK_S ? Kind.UNPITCHED : Kind.PHRASE;
  }
}
