package takewright.library.sample;

import java.text.Normalizer;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import takewright.name.Name;
import takewright.name.NameFacts;
import takewright.sheet.Layer;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;

/** The file names of all samples that a sheet asks for, made before any work is done. */
public final class SampleNames {
  private final Sheet sheet;
  private final Map<String, String> nameOf = new LinkedHashMap<>();

  /**
   * Names them.
   *
   * @throws SheetException if two would have the same name
   */
  public SampleNames(Sheet sheet) throws SheetException {
    this.sheet = sheet;
    Set<String> seen = new HashSet<>();
    List<String> keys = new ArrayList<>();
    List<NameFacts> facts = new ArrayList<>();
    for (Take take : sheet.takes()) {
      for (Cell cell : sheet.cells(take)) {
        for (Layer layer : sheet.layers(take)) {
          // A pick-up asks for cells of other takes; each has one sample.
          if (seen.add(key(cell, layer))) {
            keys.add(key(cell, layer));
            facts.add(sheet.facts(cell, layer));
          }
        }
      }
    }
    List<String> names;
    try {
      names = Name.formatAll(facts, sheet.naming());
    } catch (IllegalArgumentException e) {
      throw new SheetException(sheet.file(), SheetProblem.error(0, "name", e));
    }
    for (int i = 0; i < keys.size(); i++) {
      nameOf.put(keys.get(i), names.get(i) + ".wav");
    }
  }

  /** The samples that some takes may fill. */
  public Set<String> of(List<Take> takes) {
    Set<String> names = new LinkedHashSet<>();
    for (Take take : takes) {
      for (Cell cell : sheet.cells(take)) {
        for (Layer layer : sheet.layers(take)) {
          names.add(of(cell, layer));
        }
      }
    }
    return names;
  }

  public String of(Cell cell, Layer layer) {
    return nameOf.get(key(cell, layer));
  }

  /** What a sample's file says. */
  SampleText text(Cell cell, Layer layer) {
    String about = sheet.about().sentence();
    String description = describe(cell, layer) + (about.isEmpty() ? "" : ". " + about);
    // The chunk of broadcasters holds ASCII: accents are dropped, as they are from names.
    String plain = Normalizer.normalize(description, Normalizer.Form.NFD);
    return new SampleText(plain.replaceAll("\\p{M}+", ""), sheet.about().info());
  }

  private String describe(Cell cell, Layer layer) {
    String note = cell.midi() == null ? "" : " " + sheet.naming().noteNames().spell(cell.midi());
    return sheet.library()
        + ", "
        + cell.articulation()
        + note
        + " "
        + cell.dynamic()
        + ", round robin "
        + cell.rr()
        + ", "
        + layer.name();
  }

  private static String key(Cell cell, Layer layer) {
    return cell.articulation()
        + "/"
        + cell.midi()
        + "/"
        + cell.dynamic()
        + "/"
        + cell.rr()
        + "/"
        + layer.name();
  }
}
