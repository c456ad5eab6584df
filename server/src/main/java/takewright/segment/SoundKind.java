package takewright.segment;

import takewright.diagnosis.Flag;
import takewright.pitch.Kind;
import takewright.pitch.PitchTrack;

/**
 * Tells a note from talk, breaths and knocks by how its pitch and its level behave. The limits are
 * from measuring takes.
 */
final class SoundKind {
  /** Share of the votes on one pitch that makes a held note; talk wanders, and reached 0.49. */
  private static final double HELD_SHARE = 0.58;

  /**
   * The same for a short note, of which the attack is a large part; knocks have no votes at all.
   */
  private static final double SHORT_SHARE = 0.42;

  /**
   * The same for sounds as brief as a knock, which may ring for a moment itself; a note so brief is
   * high, and has had time to repeat.
   */
  private static final double BRIEF_SHARE = 0.65;

  /**
   * A note played short where a hall rings speaks late and dies away long, and few of its windows
   * repeat. Those that do tell it: this share of their votes, and this many windows, lie within 25
   * cents. In 73 takes no talk has a share above 0.47; of 300 spoken lines in a hall five reach
   * both.
   */
  private static final double STILL_SHARE = 0.7;

  private static final int STILL_WINDOWS = 4;

  /** Shorter sounds are short notes, in seconds; the shortest line of talk is longer. */
  private static final double SHORT_S = 0.8;

  /** Share of voiced windows below which nothing was sung, spoken or played with a pitch. */
  private static final double VOICED = 0.35;

  /** Sounds shorter than this, in seconds, are knocks if they have no pitch. */
  private static final double KNOCK_S = 0.35;

  /**
   * Share of the windows whose pitch moves steadily from one to the next: at least 0.67 in phrases
   * and glides, at most 0.49 in talk.
   */
  private static final double STEADY = 0.58;

  /** Movement in cents from one window to the next, 43 ms later, that is steady. */
  static final double STEADY_CENTS = 20;

  /** A glide goes at least so far, in cents: a note that sags does not. */
  private static final double GLIDE_CENTS = 100;

  /** Share of a breath's power above {@link #HIGH_HZ}: a knock's or a low note's lies below. */
  private static final double BREATH_HIGH = 0.8;

  /** Where a breath's power begins, in hertz. */
  static final double HIGH_HZ = 400;

  /** A breath comes up slowly, in seconds; a tap or a click does not. */
  private static final double BREATH_RISE_S = 0.06;

  /** And lasts from here to there, in seconds. Common practice. */
  private static final double SHORTEST_BREATH_S = 0.15;

  private static final double LONGEST_BREATH_S = 2.5;

  /**
   * What was measured of a sound.
   *
   * @param pitch what its windows agree on
   * @param steady share of the windows whose pitch moves by no more than {@link #STEADY_CENTS}; NaN
   *     if the windows lie too far apart to tell
   * @param glide how far its pitch glides, in cents; 0 if it does not
   * @param seconds from its onset to where it ends
   * @param high share of its power above {@link #HIGH_HZ}
   * @param riseS from its first sign to half its greatest power, in seconds
   */
  record Sound(
      PitchTrack.Summary pitch,
      double steady,
      double glide,
      double seconds,
      double high,
      double riseS) {
    boolean isVoiced() {
      return pitch.voiced() >= VOICED;
    }

    /** Whether there is talk in it rather than glides and notes. */
    boolean wanders() {
      return isVoiced() && steady < STEADY;
    }

    boolean isBreath() {
      return !isVoiced()
          && high >= BREATH_HIGH
          && riseS >= BREATH_RISE_S
          && seconds >= SHORTEST_BREATH_S
          && seconds <= LONGEST_BREATH_S;
    }

    boolean isNote() {
      double least = seconds < KNOCK_S ? BRIEF_SHARE : seconds < SHORT_S ? SHORT_SHARE : HELD_SHARE;
      return pitch.related() >= least || seconds >= KNOCK_S && isStill();
    }

    /** Whether what repeats in it stands still, however little that is. */
    private boolean isStill() {
      return pitch.held() >= STILL_SHARE && pitch.heldWindows() >= STILL_WINDOWS;
    }

    /** How sure it is that the sound is of a kind, 0 to 1. */
    double confidence(Kind kind) {
      return switch (kind) {
        case PITCHED -> pitch.share();
        case UNPITCHED -> Math.max(0.5, 1 - pitch.voiced());
        case GLIDE, PHRASE -> Double.isNaN(steady) ? pitch.voiced() : steady;
        case CLUSTER -> Math.max(0.5, pitch.voiced());
      };
    }

    /** Whether it is a held note for certain, however short. */
    boolean holds() {
      return pitch.related() >= HELD_SHARE;
    }
  }

  private SoundKind() {}

  /** Why a sound is none of the instrument's, in a word; null if it is one. */
  static Flag reject(SegmentSettings settings, Sound sound) {
    if (sound.seconds() * 1000 < settings.minLengthMs()) {
      return Flag.TOO_SHORT;
    }
    if (settings.kind() == Kind.CLUSTER) {
      return null;
    }
    if (settings.kind() == Kind.UNPITCHED) {
      // Longer than a hit rings, and with a voice in it. A brush or a shaker may be like a breath.
      return sound.isVoiced() && sound.seconds() >= SHORT_S ? Flag.TALK : null;
    }
    if (sound.isBreath()) {
      return Flag.BREATH;
    }
    if (settings.kind() == null) {
      return !sound.isNote() && sound.wanders() && sound.seconds() >= SHORT_S ? Flag.TALK : null;
    }
    if (settings.kind() == Kind.GLIDE || settings.kind() == Kind.PHRASE) {
      return sound.wanders() ? Flag.TALK : sound.isVoiced() || !isBrief(sound) ? null : Flag.KNOCK;
    }
    if (sound.isNote()) {
      return null;
    }
    return isBrief(sound) ? Flag.KNOCK : sound.isVoiced() ? Flag.TALK : Flag.NO_PITCH;
  }

  private static boolean isBrief(Sound sound) {
    return sound.seconds() < KNOCK_S;
  }

  /** What a sound of a take of unknown kind is. */
  static Kind kind(Sound sound) {
    if (sound.isNote()) {
      return Kind.PITCHED;
    }
    if (!sound.isVoiced() || isBrief(sound)) {
      return Kind.UNPITCHED;
    }
    return Math.abs(sound.glide()) >= GLIDE_CENTS ? Kind.GLIDE : Kind.PHRASE;
  }
}
