package takewright.library;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.SettingException;
import takewright.map.MapFacts;
import takewright.map.TextTemplate;
import takewright.map.Zone;
import takewright.name.NoteNames;
import takewright.sheet.Layer;
import takewright.sheet.MapTemplate;
import takewright.sheet.Sheet;
import takewright.sheet.Take;

/** The key map as text, by the templates that the sheet names. */
final class MapTexts {
  private final Sheet sheet;
  private final MapFacts facts;
  private final Map<MapTemplate, TextTemplate> templates = new LinkedHashMap<>();

  /**
   * Reads the templates.
   *
   * @throws IOException if one cannot be read or is not a template
   */
  MapTexts(Sheet sheet) throws IOException {
    this.sheet = sheet;
    NoteNames names = sheet.naming().noteNames();
    this.facts = new MapFacts(sheet.library(), names::spell);
    for (MapTemplate template : sheet.map().templates()) {
      templates.put(template, template.read());
    }
  }

  /** The files that a build of a sheet may write by its templates. */
  static List<String> names(Sheet sheet) {
    Set<String> names = new LinkedHashSet<>();
    for (MapTemplate template : sheet.map().templates()) {
      for (Take take : sheet.takes()) {
        for (Layer layer : sheet.layers(take)) {
          for (String dynamic : take.dynamics()) {
            names.add(template.outOf(sheet.library(), take.articulation(), layer.name(), dynamic));
          }
        }
      }
    }
    return List.copyOf(names);
  }

  /** The texts of a key map, by the names of their files. */
  Map<String, byte[]> texts(List<Zone> zones) throws IOException {
    Map<String, byte[]> texts = new LinkedHashMap<>();
    for (Map.Entry<MapTemplate, TextTemplate> template : templates.entrySet()) {
      Map<String, List<Zone>> files = new LinkedHashMap<>();
      for (Zone zone : zones) {
        String name = template.getKey().outOf(sheet.library(), zone);
        files.computeIfAbsent(name, n -> new ArrayList<>()).add(zone);
      }
      for (Map.Entry<String, List<Zone>> file : files.entrySet()) {
        String text = text(template.getKey(), template.getValue(), file.getValue());
        texts.put(file.getKey(), text.getBytes(StandardCharsets.UTF_8));
      }
    }
    return texts;
  }

  private String text(MapTemplate template, TextTemplate read, List<Zone> zones)
      throws IOException {
    try {
      return read.apply(facts.of(zones));
    } catch (SettingException e) {
      throw new FileProblemException(e.problem().at(template.file().toString(), 0), e);
    }
  }
}
