package takewright.library.follow;

import java.util.ArrayList;
import java.util.Collection;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import takewright.library.follow.Follow.Note;
import takewright.sheet.cell.CellStatus;

/** The notes of a take of which something has been said, by their numbers. */
final class ToldNotes {
  private final ToldJudgements told;
  private Map<Integer, Note> notes = new LinkedHashMap<>();

  ToldNotes(ToldJudgements told) {
    this.told = told;
  }

  /** Whether anything has been said of a note. */
  boolean contains(int number) {
    return notes.containsKey(number);
  }

  /** In the order in which they were last heard. */
  Collection<Note> all() {
    return notes.values();
  }

  /** In the order of the take. */
  List<Note> inOrder() {
    return notes.values().stream()
        .sorted(Comparator.comparingLong(note -> note.region().start()))
        .toList();
  }

  /**
   * Takes in what is known now, and returns the notes that are new or have changed. One that is
   * heard no longer is taken back. If that can no longer be said of it, it fills no cell, but stays
   * as it was said until the take is over.
   *
   * @param heard what is known now
   * @param frame frames heard so far
   * @param isOver whether the take has ended
   */
  List<Note> update(List<Note> heard, long frame, boolean isOver) {
    Map<Integer, Note> now = new LinkedHashMap<>();
    heard.forEach(note -> now.put(note.number(), note));
    for (Note before : notes.values()) {
      now.computeIfAbsent(before.number(), number -> takenBack(before, frame));
    }
    List<Note> changed = new ArrayList<>();
    for (Note note : now.values()) {
      if (!note.equals(notes.get(note.number()))) {
        changed.add(note);
      }
    }
    now.values()
        .removeIf(
            note ->
                note.status() == CellStatus.MISSING
                    && (isOver || note.judgement() == Judgement.LEFT_OUT));
    notes = now;
    return changed;
  }

  private Note takenBack(Note note, long frame) {
    Judgement said = told.takeBack(note.number(), frame);
    return new Note(note.number(), note.region(), null, CellStatus.MISSING, true, Set.of(), said);
  }
}
