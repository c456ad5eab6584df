package takewright.audit;

import java.util.SortedSet;
import java.util.TreeSet;

/**
 * The grid that a set of notes suggests: every semitone, every n-th semitone, or the same pitch
 * classes in each octave, if most of these notes exist. A set without such a grid suggests no
 * further notes.
 */
final class NoteGrid {
  /** Share of the grid's notes that must exist. */
  private static final double MIN_FILLED_SHARE = 0.8;

  /** Fewer notes fit some grid by chance. */
  private static final int MIN_NOTES = 6;

  /** More pitch classes per octave than this are not a selection. */
  private static final int MAX_PITCH_CLASSES = 8;

  private NoteGrid() {}

  /** The notes, and the missing ones among them. */
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
