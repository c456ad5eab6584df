package takewright.library.take;

import java.util.ArrayList;
import java.util.Collections;
import java.util.IdentityHashMap;
import java.util.List;
import java.util.Set;
import takewright.dsp.Medians;
import takewright.pitch.Kind;
import takewright.segment.Region;

/**
 * Notes that were broken off: they are shorter than those around them, though not so short that
 * their length alone would tell, and stop at once.
 *
 * <p>How notes end is the instrument's own: most strings die away, reeds are stopped by the tongue.
 * One that stops where the others die away is broken off even if there is only one other; where all
 * stop, several must show how long they are, or one of the same pitch. What stays are the first
 * notes of a take.
 */
final class BrokenOff {
  /** A note is broken off that is shorter than this share of the shortest one around it, */
  private static final double SHORT = 0.6;

  /** and stops by at least so much, in dB, */
  private static final double STOPS_DB = 20;

  /** and by no less than this under what is usual, in dB: what fades away is not broken off. */
  private static final double LESS_DB = 8;

  /** One that stops where the others die away is shorter than this share of them, */
  private static final double SHORTER = 0.65;

  /** and falls by this more than any of them, in dB. */
  private static final double MORE_DB = 12;

  /**
   * Where no habit shows, or the shortest around is short itself: a note that stops is broken off
   * that is shorter than this share of the same note each other time, at its own dynamic if there
   * are any near in pitch. Of 1,359 clean notes in 60 takes three came to 0.44, of 53 that were
   * broken off six to less that nothing else tells (2026-11-30);
   */
  private static final double FAR_SHORTER = 0.4;

  /** or than this of all that are near in pitch, of which clean ones came to 0.39. */
  private static final double FAR_SHORTER_THAN_NEAR = 0.35;

  /**
   * or than this where those that are near agree on how long notes are: of 2,025 clean notes in 162
   * takes none that stops came to 0.58, and four of eight that were broken off and had been called
   * good to less (2026-11-30).
   */
  private static final double FAR_SHORTER_THAN_ALIKE = 0.5;

  /** Notes agree of which the longest is no longer than this many times the shortest. */
  private static final double AGREE = 1.25;

  /**
   * One that stops harder than the same note each other time is broken off that is shorter than
   * this share of it: of 1,565 clean notes in 132 takes none came to 0.57 (2026-11-30).
   */
  private static final double HARDER_AND_SHORTER = 0.55;

  /** So much longer than it sounds a note is heard, in seconds: most of a short one. */
  private static final double HEARD_AFTER_S = 0.07;

  /** Notes nearest in pitch that one is compared with. */
  private static final int NEIGHBOURS = 8;

  /** So many, of two pitches, show a habit. */
  private static final int HABIT = 3;

  /** Fewer notes show how notes end only if they lie within this many semitones, a minor third. */
  private static final int NEAR = 3;

  /**
   * What is heard of a note varies by so much, in seconds, as the room behind it does: five clean
   * bars of a tenth of a second were taken for broken off, by 0.11 to 0.17 s.
   */
  private static final double UNSURE_S = 0.2;

  private final double heardAfter;
  private final double unsure;

  private BrokenOff(int sampleRate) {
    heardAfter = HEARD_AFTER_S * sampleRate;
    unsure = UNSURE_S * sampleRate;
  }

  /** The regions of such notes; they are told apart by identity. */
  static Set<Region> of(List<KeptRegion> kept, int sampleRate) {
    BrokenOff beside = new BrokenOff(sampleRate);
    List<KeptRegion> notes = new ArrayList<>();
    for (KeptRegion one : kept) {
      if (one.region().kind() == Kind.PITCHED
          && one.region().pitch() != null
          && one.cell().midi() != null) {
        notes.add(one);
      }
    }
    Set<Region> found = Collections.newSetFromMap(new IdentityHashMap<>());
    for (KeptRegion note : notes) {
      // Whoever has set its bounds has decided how long it is.
      if (!note.correction().movesBounds()
          && beside.isBrokenOff(note, note.nearest(notes, NEIGHBOURS))) {
        found.add(note.region());
      }
    }
    return found;
  }

  private boolean isBrokenOff(KeptRegion note, List<KeptRegion> around) {
    long pitches = around.stream().map(one -> one.cell().midi()).distinct().count();
    boolean showHabit = around.size() >= HABIT && pitches > 1;
    List<KeptRegion> near = around.stream().filter(one -> note.semitonesTo(one) <= NEAR).toList();
    // The one that is near may be the exception: a word went on behind it.
    boolean mayStop = showHabit && stopDb(note) < usualStopDb(around) + MORE_DB;
    return !mayStop && stopsAlone(note, near)
        || showHabit && stopsShort(note, around)
        || stopsFarShort(note, near);
  }

  /** Whether a note is over before the next begins, so that it shows how long it is. */
  static boolean isOverInTime(KeptRegion note) {
    return note.region().blemishes().ending().hiddenFrames() > 0;
  }

  /** Whether a note stops where the others die away, and is shorter than they. */
  private static boolean stopsAlone(KeptRegion note, List<KeptRegion> others) {
    double most = others.stream().mapToDouble(BrokenOff::stopDb).max().orElse(0);
    return stopDb(note) >= most + MORE_DB && length(note) < SHORTER * shortest(others);
  }

  /** Whether a note stops as the others do, and is far shorter than they. */
  private static boolean stopsShort(KeptRegion note, List<KeptRegion> others) {
    return length(note) < SHORT * shortest(others) && stops(note, others);
  }

  /** The same of few others that are near in pitch, and of those at the same pitch. */
  private boolean stopsFarShort(KeptRegion note, List<KeptRegion> near) {
    // Soft notes may all be played short.
    List<KeptRegion> alike =
        near.stream().filter(one -> one.cell().dynamic().equals(note.cell().dynamic())).toList();
    List<KeptRegion> others =
        (alike.isEmpty() ? near : alike).stream().filter(BrokenOff::isOverInTime).toList();
    List<KeptRegion> same = others.stream().filter(one -> note.semitonesTo(one) == 0).toList();
    return soundsShorter(note, same, FAR_SHORTER) && stops(note, same)
        || soundsShorter(note, same, HARDER_AND_SHORTER) && stopsHarder(note, same)
        || soundsShorter(note, others, farShorter(others)) && stops(note, others);
  }

  /** The share of others that are near in pitch below which a note is far shorter than they. */
  private static double farShorter(List<KeptRegion> others) {
    double longest = others.stream().mapToDouble(BrokenOff::length).max().orElse(0);
    boolean agree = others.size() > 1 && longest <= AGREE * shortest(others);
    return agree ? FAR_SHORTER_THAN_ALIKE : FAR_SHORTER_THAN_NEAR;
  }

  /** Whether a note sounds for less than a share of the time for which the shortest other does. */
  private boolean soundsShorter(KeptRegion note, List<KeptRegion> others, double share) {
    double shortest = shortest(others);
    return length(note) - heardAfter < share * (shortest - heardAfter)
        && length(note) < shortest - unsure;
  }

  /** Whether a note stops, and falls by more than any other. */
  private static boolean stopsHarder(KeptRegion note, List<KeptRegion> others) {
    return stopDb(note) >= STOPS_DB
        && others.stream().allMatch(other -> stopDb(note) > stopDb(other));
  }

  /** Whether a note stops as the others do. */
  private static boolean stops(KeptRegion note, List<KeptRegion> others) {
    List<KeptRegion> alike =
        others.stream().filter(one -> one.cell().dynamic().equals(note.cell().dynamic())).toList();
    // A softer note has less to fall until the room hides it.
    double usual = usualStopDb(alike.size() < HABIT ? others : alike);
    return stopDb(note) >= Math.max(STOPS_DB, usual - LESS_DB);
  }

  private static double usualStopDb(List<KeptRegion> notes) {
    return Medians.of(notes.stream().mapToDouble(BrokenOff::stopDb).toArray());
  }

  /** Frames for which the shortest note is heard; 0 of none. */
  private static double shortest(List<KeptRegion> notes) {
    return notes.stream().mapToDouble(BrokenOff::length).min().orElse(0);
  }

  private static double stopDb(KeptRegion note) {
    return note.region().blemishes().ending().stopDb();
  }

  private static double length(KeptRegion note) {
    return note.region().heardFrames();
  }
}
