package takewright.library.follow;

import java.util.ArrayList;
import java.util.List;
import takewright.segment.Region;

/**
 * How long the good notes of a take were so far, so that the first ear waits where a note seems to
 * be broken off: it hears of a note before its end is sure, and how long it was only then.
 */
final class LengthsSoFar {
  /** So much longer the first ear takes a short note to be than the second, in seconds. */
  private static final double FIRST_EAR_S = 0.14;

  /** A note may be broken off that is shorter than this share of the same note, */
  private static final double OF_THE_SAME = 0.65;

  /** or of all that are near in pitch. */
  private static final double OF_NEAR = 0.5;

  /** Notes up to a minor third apart are about as long as each other, in semitones. */
  private static final int NEAR = 3;

  private final List<Region> notes = new ArrayList<>();
  private final long firstEar;

  LengthsSoFar(int sampleRate) {
    firstEar = (long) (FIRST_EAR_S * sampleRate);
  }

  /** Whether a note of the first ear may be shorter than those that were like it. */
  boolean mayBeBrokenOff(Region note) {
    long heard = note.heardFrames() - firstEar;
    return heard < OF_THE_SAME * shortest(note, 0) || heard < OF_NEAR * shortest(note, NEAR);
  }

  /** Frames for which the shortest note within some semitones was heard; 0 where none was. */
  private long shortest(Region note, int semitones) {
    return note.pitch() == null
        ? 0
        : notes.stream()
            .filter(one -> Math.abs(one.pitch().midi() - note.pitch().midi()) <= semitones)
            .mapToLong(Region::heardFrames)
            .min()
            .orElse(0);
  }

  /** Takes in a note that was said to be good. */
  void add(Region note) {
    if (note.pitch() != null) {
      notes.add(note);
    }
  }
}
