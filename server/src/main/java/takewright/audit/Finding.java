package takewright.audit;

import takewright.pitch.Pitch;

/**
 * Something in a folder of samples that a person should look at.
 *
 * @param file the file, relative to the folder; of a missing sample, the name it should have
 * @param finding what it is
 * @param says what the name says, or what the others are; empty for nothing
 * @param sounds what is heard; empty for nothing
 * @param detail in words
 * @param pitch what is heard, as a pitch; null for none
 */
public record Finding(
    String file, What finding, String says, String sounds, String detail, Pitch pitch) {
  /** What can be found. */
  public enum What {
    /** No audio that can be read. */
    UNREADABLE,
    /** Two names that differ only in case, or say the same. */
    NAME_CLASH,
    /** The name holds no note although the others do. */
    NAME_UNREADABLE,
    /** The file sounds another note than its name says. */
    WRONG_NOTE,
    /** The name holds a note, but none is heard. */
    NO_PITCH,
    /** Further out of tune than its group. */
    TUNING,
    /** Louder or softer than its group. */
    LEVEL,
    /** Begins later or earlier than its group. */
    START,
    /** Noisier than its group. */
    NOISE,
    /** The same recording as another file. */
    DUPLICATE,
    /** Clipped peaks. */
    CLIPPED,
    /** Gaps in the sound. */
    DROPOUT,
    /** DC offset. */
    DC,
    /** Digital silence. */
    SILENT,
    /** Another sample rate than most. */
    SAMPLE_RATE,
    /** Another number of channels than most. */
    CHANNELS,
    /** Missing, although the other files make it likely that it should exist. */
    MISSING;

    /** As written in tables. */
    public String word() {
      return name().toLowerCase(java.util.Locale.ROOT);
    }
  }
}
