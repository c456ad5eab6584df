package takewright.library.match;

import java.util.Comparator;
import java.util.List;
import java.util.function.IntPredicate;
import takewright.diagnosis.Flag;
import takewright.dsp.Medians;
import takewright.segment.Region;

/**
 * What regions that touch say of each other: a note may be cut in two by what went wrong in it.
 *
 * <p>A note begun on the wrong one, a scratch and a word each make the segmenter hear a new sound
 * while the note still goes on. A run of notes that ring into each other is no such thing: there
 * each is about as long as the next.
 */
public final class Interruptions {
  /** A beginning is shorter than this share of what follows. */
  private static final double BEGINNING = 0.5;

  /** Furthest that the wrong note lies from the right one, in semitones: a whole tone. */
  private static final double MAX_APART = 2.5;

  /** Nearer than this, in semitones, it is the same note: it was played anew. */
  private static final double SAME_NOTE = 0.5;

  /**
   * What is so much softer than the note that it touches, in dB, is no beginning of it: a chair
   * before a note rang a semitone beside it, 25 dB softer. A player is as loud on the wrong note.
   */
  private static final double FAR_SOFTER_DB = 15;

  /** Regions touch where no more than this many lead-ins of the second lie between them. */
  private static final double LEAD_INS = 2;

  /**
   * A note goes over into a sound that is no note of the take if no more than ten lead-ins (0.1 s)
   * lie between them: up to there a tail is only supposed, and it ends before the next sound. In 72
   * takes no sound that follows a clean note so closely is loud enough, and two of three behind
   * flawed attempts are (2026-11-30).
   */
  private static final double GOES_OVER_LEAD_INS = 10;

  /**
   * What follows may be so much softer, in dB, since the note has sunk by then. Of 108 takes seven
   * flawed attempts are touched by something 20 to 30 dB softer, most by a knock, and one clean
   * note; by what is softer still two clean ones (2026-11-30).
   */
  private static final double SOFTER_DB = 30;

  /**
   * A note was over if it is heard no more for so long before the next sound begins, in seconds,
   * even if its tail is supposed up to there. In 100 takes that holds for 15 of 39 clean notes
   * before a word, and for two of 90 that something was laid over (2026-11-30).
   */
  private static final double OVER_S = 0.3;

  /**
   * A note had died away before the next sound began if it is heard at least this many times as
   * long as the notes around it. In 72 takes of recorded rooms this holds for seven of 11 clean
   * notes before a word, and for one of 27 notes that were talked or knocked into (2026-11-30).
   */
  private static final double LONGER = 1.2;

  /** Notes nearest in pitch that it is compared with, and the fewest of them. */
  private static final int NEIGHBOURS = 6;

  private static final int MIN_NEIGHBOURS = 4;

  private final List<Region> regions;
  private final int sampleRate;

  /**
   * @param regions in the order of the take
   * @param sampleRate of the take, in hertz
   */
  Interruptions(List<Region> regions, int sampleRate) {
    this.regions = regions;
    this.sampleRate = sampleRate;
  }

  /** Whether a region is the mere beginning of the note that goes on in the next one. */
  boolean isBeginning(int index) {
    if (!touchesNext(index)) {
      return false;
    }
    Region first = regions.get(index);
    Region second = regions.get(index + 1);
    if (first.pitch() == null || second.pitch() == null) {
      return false;
    }
    double apart = Math.abs(Attempts.semitones(first) - Attempts.semitones(second));
    int goesOn = isPiece(index + 1) ? lastPiece(index + 1) : index + 1;
    return first.heardFrames() < BEGINNING * regions.get(goesOn).heardFrames()
        && apart > SAME_NOTE
        && apart < MAX_APART
        && first.levelDbfs() > second.levelDbfs() - FAR_SOFTER_DB;
  }

  /** Whether a region is what follows such a beginning, behind first pieces of it or at once. */
  boolean isContinued(int index) {
    int first = index;
    while (first > 0 && isPiece(first - 1)) {
      first--;
    }
    return first > 0 && isBeginning(first - 1);
  }

  /**
   * Whether a region is a short first piece of the same note in the next ones: while a player
   * slides to the right note, the segmenter may hear it set in twice or more.
   */
  private boolean isPiece(int index) {
    return setsInAgain(index)
        && regions.get(index).heardFrames()
            < BEGINNING * regions.get(lastPiece(index)).heardFrames();
  }

  /** The last of the regions in which a note is heard to set in again and again. */
  private int lastPiece(int index) {
    int last = index;
    while (setsInAgain(last)) {
      last++;
    }
    return last;
  }

  private boolean setsInAgain(int index) {
    if (!touchesNext(index) || !regions.get(index).flags().contains(Flag.RINGS_ON)) {
      return false;
    }
    Region first = regions.get(index);
    Region second = regions.get(index + 1);
    return first.pitch() != null
        && second.pitch() != null
        && Math.abs(Attempts.semitones(first) - Attempts.semitones(second)) < SAME_NOTE;
  }

  /** Whether a note begins while the one before still rings, so that this is heard in it. */
  boolean isRungInto(int index) {
    return isRungInto(regions, index);
  }

  /**
   * Whether a note begins while the one before still rings.
   *
   * @param regions in the order of the take
   * @param index of the note among them
   */
  public static boolean isRungInto(List<Region> regions, int index) {
    return regions.get(index).flags().contains(Flag.IN_TAIL)
        || index > 0
            && touchesNext(regions, index - 1, LEAD_INS)
            && regions.get(index - 1).blemishes().ending().hiddenFrames() == 0;
  }

  /**
   * Whether a region ends where a sound that was rejected sets in.
   *
   * @param isPlayed whether a region fills a cell, by its index
   */
  boolean isBrokenInto(int index, IntPredicate isPlayed) {
    return isFollowedBySound(index, LEAD_INS, isPlayed)
        && regions.get(index + 1).rejected()
        && !hasRungOut(regions.get(index), regions);
  }

  /**
   * Whether a note had died away by itself where something else sets in behind it: it is heard for
   * longer than those around it.
   *
   * @param regions all of the take
   */
  public static boolean hasRungOut(Region note, List<Region> regions) {
    if (note.pitch() == null) {
      return false;
    }
    double semitones = Attempts.semitones(note);
    double[] near =
        regions.stream()
            .filter(other -> other != note && !other.rejected() && other.pitch() != null)
            .sorted(
                Comparator.comparingDouble(
                    other -> Math.abs(Attempts.semitones(other) - semitones)))
            .limit(NEIGHBOURS)
            .mapToDouble(Region::heardFrames)
            .toArray();
    return near.length >= MIN_NEIGHBOURS && note.heardFrames() > LONGER * Medians.of(near);
  }

  /**
   * Whether a region goes over into anything that fills no cell: also what passes for a note that
   * the sheet does not ask for, like a word that is sung.
   *
   * @param isPlayed whether a region fills a cell, by its index
   */
  boolean goesOver(int index, IntPredicate isPlayed) {
    return isFollowedBySound(index, GOES_OVER_LEAD_INS, isPlayed);
  }

  private boolean isFollowedBySound(int index, double leadIns, IntPredicate isPlayed) {
    return touchesNext(regions, index, leadIns)
        && !isPlayed.test(index + 1)
        && regions.get(index + 1).levelDbfs() > regions.get(index).levelDbfs() - SOFTER_DB
        && !isOverBefore(regions.get(index), regions.get(index + 1), sampleRate)
        && !isAttemptedAgain(index);
  }

  /** Whether a note has not been heard for a while when the next sound begins. */
  public static boolean isOverBefore(Region note, Region next, double sampleRate) {
    return next.onset() - note.onset() - note.heardFrames() > OVER_S * sampleRate;
  }

  /**
   * Whether the next sound is another attempt at a note, or the rest of it, though it fills no
   * cell: begun on the wrong note, or broken off. So 20 of 26 such attempts behind clean notes are
   * told, and one of 90 words and knocks is (2026-11-30).
   */
  private boolean isAttemptedAgain(int index) {
    Region first = regions.get(index);
    Region second = regions.get(index + 1);
    return !second.rejected()
        && first.pitch() != null
        && second.pitch() != null
        && Math.abs(Attempts.semitones(first) - Attempts.semitones(second)) < MAX_APART;
  }

  /** Whether the next region begins where this one ends; a rejected one goes on into nothing. */
  boolean touchesNext(int index) {
    return touchesNext(regions, index, LEAD_INS);
  }

  private static boolean touchesNext(List<Region> regions, int index, double leadIns) {
    if (index + 1 >= regions.size() || regions.get(index).rejected()) {
      return false;
    }
    Region first = regions.get(index);
    Region second = regions.get(index + 1);
    long leadIn = second.onset() - second.start();
    return second.start() - first.end() <= leadIns * leadIn;
  }
}
