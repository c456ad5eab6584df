package takewright.audit;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.SortedSet;
import java.util.TreeMap;
import java.util.TreeSet;
import takewright.audit.Finding.What;
import takewright.audit.SampleName.Rest;

/**
 * Finds missing samples that the others suggest: notes, by {@link NoteGrid}, and for each note
 * every dynamic and round robin that most notes of its group have.
 */
final class MissingCells {
  /** A dynamic and round robin that a smaller share of the notes has was not meant for all. */
  private static final double MIN_NOTES_SHARE = 0.7;

  private final List<AuditedFile> files;
  private final NoteReading reading;
  private final List<Finding> found;

  MissingCells(List<AuditedFile> files, NoteReading reading, List<Finding> found) {
    this.files = files;
    this.reading = reading;
    this.found = found;
  }

  /** Dynamic and round robin. */
  private record Variant(String dynamic, Integer rr) {}

  void look() {
    Map<String, List<AuditedFile>> groups = new TreeMap<>();
    for (AuditedFile file : files) {
      if (file.says() != null) {
        groups.computeIfAbsent(file.rest().words(), k -> new ArrayList<>()).add(file);
      }
    }
    groups.values().forEach(this::group);
  }

  private void group(List<AuditedFile> group) {
    SortedSet<Integer> notes = new TreeSet<>();
    Map<Variant, Set<Integer>> variants = new HashMap<>();
    for (AuditedFile file : group) {
      notes.add(file.says());
      Rest rest = file.rest();
      variants
          .computeIfAbsent(new Variant(rest.dynamic(), rest.rr()), k -> new HashSet<>())
          .add(file.says());
    }
    SortedSet<Integer> expected = NoteGrid.expected(notes);
    for (Map.Entry<Variant, Set<Integer>> entry : variants.entrySet()) {
      if (entry.getValue().size() < MIN_NOTES_SHARE * expected.size() || expected.size() < 2) {
        continue;
      }
      for (int note : expected) {
        if (!entry.getValue().contains(note)) {
          missing(group, entry.getKey(), note, notes.contains(note));
        }
      }
    }
  }

  /** Named after the nearest sample of the same dynamic and round robin. */
  private void missing(List<AuditedFile> group, Variant variant, int note, boolean noteThere) {
    AuditedFile like = null;
    for (AuditedFile file : group) {
      boolean same = variant.equals(new Variant(file.rest().dynamic(), file.rest().rr()));
      if (same && (like == null || Math.abs(file.says() - note) < Math.abs(like.says() - note))) {
        like = file;
      }
    }
    found.add(
        new Finding(
            like.name().with(like.token(), reading.spell(note)),
            What.MISSING,
            reading.name(note),
            "",
            noteThere
                ? "other samples of this note exist, and most notes have this one"
                : "the notes around it exist",
            null));
  }
}
