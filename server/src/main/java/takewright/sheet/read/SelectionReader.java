package takewright.sheet.read;

import java.util.ArrayList;
import java.util.HashSet;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import takewright.diagnosis.Nearest;
import takewright.diagnosis.SettingException;
import takewright.sheet.Sheet;
import takewright.sheet.cell.CellSelection;

/**
 * Reads which cells of a sheet a person means: parts between commas, of which each holds words for
 * what all its cells are: articulations, notes ({@code G3}) and ranges of them ({@code G3..C4}),
 * dynamics and round robins ({@code rr2}), in any order. Several words of one kind are
 * alternatives, and a kind without a word may be any: {@code tremolo G3..C4 f rr2, tap}.
 */
public final class SelectionReader {
  private static final String FIELD = "only";

  private final Sheet sheet;
  private final Set<String> articulations = new LinkedHashSet<>();
  private final Set<String> dynamics = new LinkedHashSet<>();

  private SelectionReader(Sheet sheet) {
    this.sheet = sheet;
    sheet
        .takes()
        .forEach(
            take -> {
              articulations.add(take.articulation());
              dynamics.addAll(take.dynamics());
            });
  }

  /**
   * Reads a selection; an empty text selects all cells.
   *
   * @throws SettingException if a word is unknown, or no cell of the sheet is selected
   */
  public static CellSelection read(String text, Sheet sheet) {
    if (text.isBlank()) {
      return CellSelection.ALL;
    }
    SelectionReader reader = new SelectionReader(sheet);
    List<CellSelection.Part> parts = new ArrayList<>();
    for (String part : text.split(",", -1)) {
      parts.add(reader.part(part.strip()));
    }
    CellSelection selection = new CellSelection(parts);
    if (sheet.cells().stream().noneMatch(selection::fits)) {
      throw new SettingException(
          FIELD,
          "selects no cell of the sheet: \"" + text + "\"",
          "name articulations, notes, dynamics and round robins of it");
    }
    return selection;
  }

  private CellSelection.Part part(String text) {
    Set<String> inArticulations = new HashSet<>();
    Set<Integer> inNotes = new HashSet<>();
    Set<String> inDynamics = new HashSet<>();
    Set<Integer> inRoundRobins = new HashSet<>();
    String rest = text;
    do {
      // Names may hold spaces, and of two the longer one is meant.
      String articulation = longest(rest, articulations);
      String dynamic = longest(rest, dynamics);
      String word = rest.split("\\s", 2)[0];
      if (articulation != null && (dynamic == null || articulation.length() >= dynamic.length())) {
        word = articulation;
        inArticulations.add(word);
      } else if (dynamic != null) {
        word = dynamic;
        inDynamics.add(word);
      } else if (word.toLowerCase(Locale.ROOT).matches("rr[1-9][0-9]{0,2}")) {
        inRoundRobins.add(Integer.valueOf(word.substring(2)));
      } else {
        inNotes.addAll(notes(word));
      }
      rest = rest.substring(word.length()).strip();
    } while (!rest.isEmpty());
    return new CellSelection.Part(inArticulations, inNotes, inDynamics, inRoundRobins);
  }

  private static String longest(String text, Set<String> names) {
    String longest = null;
    for (String name : names) {
      boolean begins =
          text.equals(name)
              || text.startsWith(name) && text.substring(name.length()).matches("\\s.*");
      if (begins && (longest == null || name.length() > longest.length())) {
        longest = name;
      }
    }
    return longest;
  }

  private List<Integer> notes(String word) {
    try {
      return PlayedReader.range(word, sheet.naming().noteNames());
    } catch (SettingException e) {
      Set<String> known = new LinkedHashSet<>(articulations);
      known.addAll(dynamics);
      String near = Nearest.ifNear(word, known);
      throw new SettingException(
          FIELD,
          "holds \""
              + word
              + "\", which is no articulation, note, dynamic or round robin of the sheet",
          near == null
              ? "write it like tremolo G3..C4 f rr2"
              : "did you mean " + near + "? Write it like tremolo G3..C4 f rr2");
    }
  }
}
