package takewright.audit;

import java.util.SortedSet;
import java.util.TreeSet;

/**
 * The notes that a set of notes lets expect: every semitone, every so many semitones, or the same
 * pitch classes in each octave, where most of them are there. A set without such an order lets
 * expect no more than it holds.
 */
final class NoteGrid {
  /** Share of the notes expected that must be there for it to be an order. */
  private static final double MIN_FILLED_SHARE = 0.8;

  /** Fewer notes have any order by chance. */
  private static final int MIN_NOTES = 6;

  /** More pitch classes an octave than this are no choice. */
  private static final int MAX_PITCH_CLASSES = 8;

  private NoteGrid() {}

  /** The notes, and those that are missing among them. */
  static SortedSet<Integer> expected(SortedSet<Integer> notes) {
    if (notes.size() < MIN_NOTES) {
      return notes;
    }
    boolean[] classes = new boolean[12];
    int used = 0;
    for (int note : notes) {
      used += classes[note % 12] ? 0 : 1;
      classes[note % 12] = true;
    }
    SortedSet<Integer> octaves = new TreeSet<>();
    SortedSet<Integer> all = new TreeSet<>();
    for (int note = notes.first(); note <= notes.last(); note++) {
      all.add(note);
      if (classes[note % 12]) {
        octaves.add(note);
      }
    }
    if (filled(notes, all)) {
      return all;
    }
    for (int step = 11; step >= 2; step--) {
      SortedSet<Integer> steps = new TreeSet<>();
      for (int note = notes.first(); note <= notes.last(); note += step) {
        steps.add(note);
      }
      if (steps.containsAll(notes) && filled(notes, steps)) {
        return steps;
      }
    }
    return used <= MAX_PITCH_CLASSES && filled(notes, octaves) ? octaves : notes;
  }

  private static boolean filled(SortedSet<Integer> notes, SortedSet<Integer> expected) {
    return notes.size() >= MIN_FILLED_SHARE * expected.size();
  }
}
