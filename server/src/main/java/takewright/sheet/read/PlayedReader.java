package takewright.sheet.read;

import java.util.ArrayList;
import java.util.EnumSet;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import takewright.diagnosis.SettingException;
import takewright.name.NoteNames;
import takewright.pitch.Kind;
import takewright.sheet.Take;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;
import takewright.sheet.read.yaml.Value;

/** Reads what was played in a take, and in which order. */
final class PlayedReader {
  static final Key<List<Value.Item>> NOTES =
      Key.oneOrMore(
          "notes", "Notes in the order played: a range G3..A5, with a step G3..A5/2, or a list.");
  static final Key<List<Value.Item>> DYNAMICS =
      Key.texts("dynamics", "Dynamics in the order played; [mf], where not given.");
  static final Key<Integer> ROUND_ROBINS =
      Key.whole("round_robins", 1, 999, "", 1, "How often each note is played at each dynamic.");
  static final List<String> USUAL_DYNAMICS = List.of("mf");

  static final List<Take.Axis> USUAL_ORDER =
      List.of(Take.Axis.NOTE, Take.Axis.DYNAMIC, Take.Axis.RR);

  static final Key<List<Take.Axis>> ORDER =
      Key.words("order", axes(), "What changes while playing, slowest first: [note, dynamic, rr].");

  private static final Pattern RANGE =
      Pattern.compile("(?<first>[^./]+)\\.\\.(?<last>[^./]+)(/(?<step>.*))?");

  private PlayedReader() {}

  private static Map<String, Take.Axis> axes() {
    Map<String, Take.Axis> axes = new LinkedHashMap<>();
    USUAL_ORDER.forEach(axis -> axes.put(axis.name().toLowerCase(Locale.ROOT), axis));
    return axes;
  }

  /**
   * @param mayLackNotes whether a pitched take need not say which notes it holds
   */
  static List<Integer> notes(Fields take, Kind kind, NoteNames names, boolean mayLackNotes) {
    if (kind == Kind.UNPITCHED || kind == Kind.PHRASE) {
      if (take.has(NOTES)) {
        take.error(NOTES, "cannot be given in a take of kind " + kind.word(), "leave them out");
      }
      return List.of();
    }
    if (kind == Kind.PITCHED && !mayLackNotes) {
      take.require(NOTES, "write notes: G3..A5, for instance, or give another kind");
    }
    Map<Integer, String> notes = new LinkedHashMap<>();
    for (Value.Item item : take.get(NOTES)) {
      try {
        for (int midi : range(item.text(), names)) {
          if (notes.putIfAbsent(midi, item.text()) != null) {
            take.error(
                item.line(),
                NOTES.name(),
                "has " + names.spell(midi) + " twice",
                "leave one out, or raise `round_robins`");
            break;
          }
        }
      } catch (SettingException e) {
        take.error(
            item.line(),
            NOTES.name(),
            (e.problem().field().equals(NOTES.name()) ? "" : "holds a word that ")
                + e.problem().what(),
            item.commentBehind()
                ? "put a note with # in quotes, as a # after a space begins a comment"
                : e.problem().remedy());
      }
    }
    return List.copyOf(notes.keySet());
  }

  /** The notes of "G3", "G3..A5", "G3..A5/2" or, played downwards, "A5..G3". */
  static List<Integer> range(String text, NoteNames names) {
    Matcher range = RANGE.matcher(text);
    if (!range.matches()) {
      return List.of(names.parse(text));
    }
    int first = names.parse(range.group("first").strip());
    int last = names.parse(range.group("last").strip());
    String step = range.group("step") == null ? "1" : range.group("step").strip();
    if (!step.matches("0*[1-9][0-9]{0,2}")) {
      throw new SettingException(
          NOTES.name(),
          "has a step that is not a whole number: \"" + text + "\"",
          "give a step of 1 semitone or more, such as G3..A5/2");
    }
    List<Integer> notes = new ArrayList<>();
    int by = Integer.parseInt(step);
    for (int i = 0; i <= Math.abs(last - first) / by; i++) {
      notes.add(first + (last >= first ? i : -i) * by);
    }
    return notes;
  }

  static List<String> dynamics(Fields take, List<String> otherwise) {
    Set<String> dynamics = new LinkedHashSet<>();
    for (Value.Item item : take.get(DYNAMICS)) {
      if (!dynamics.add(item.text())) {
        take.error(
            item.line(),
            DYNAMICS.name(),
            "has " + item.text() + " twice",
            "leave one out, or raise `round_robins`");
      }
    }
    return dynamics.isEmpty() ? otherwise : List.copyOf(dynamics);
  }

  static List<Take.Axis> order(Fields take, boolean noNotes, List<Take.Axis> otherwise) {
    List<Take.Axis> order = new ArrayList<>(take.get(ORDER));
    if (order.isEmpty()) {
      return otherwise;
    }
    Set<Take.Axis> named = EnumSet.copyOf(order);
    if (noNotes && !named.contains(Take.Axis.NOTE) && order.size() == 2 && named.size() == 2) {
      order.add(0, Take.Axis.NOTE);
      return order;
    }
    if (named.size() != 3 || order.size() != 3) {
      take.error(
          ORDER,
          "does not hold note, dynamic and rr, each once",
          "write them slowest first: [note, dynamic, rr]");
      return USUAL_ORDER;
    }
    return order;
  }
}
