package takewright.library;

import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.SerializationFeature;
import java.io.FileNotFoundException;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.IntStream;
import takewright.library.folder.IndexRow;
import takewright.map.ModWheel;
import takewright.map.Zone;
import takewright.name.NoteNames;
import takewright.sheet.Sheet;

/**
 * The page on which a finished library is played: {@code play.html} and its script, which holds the
 * key map. A browser does not let a page from disk read the map itself, and a service forbids
 * scripts within a page.
 */
final class PlayPage {
  static final String PAGE = "play.html";
  static final String SCRIPT = "play.js";

  /** The script's parts, in the order in which they build on each other. */
  private static final List<String> PARTS =
      List.of(
          "report/elements.js",
          "play/wav.js",
          "play/shift.js",
          "play/samples.js",
          "play/library.js",
          "play/engine.js",
          "play/keyboard.js",
          "play/inputs.js",
          "play/controls.js",
          "play/sounding.js",
          "play/phrases.js",
          "play/main.js");

  /** What the page knows of a zone, in this order. */
  private static final List<String> COLUMNS =
      List.of(
          "file",
          "row",
          "dynamic",
          "root",
          "lowKey",
          "highKey",
          "lowVelocity",
          "highVelocity",
          "rr",
          "rrCount",
          "gainDb",
          "loopStart",
          "loopEnd",
          "releaseMs");

  /** Sorted, so that every build of a library writes the same bytes. */
  private static final ObjectMapper JSON =
      new ObjectMapper().enable(SerializationFeature.ORDER_MAP_ENTRIES_BY_KEYS);

  private PlayPage() {}

  /** The page itself, the same for every library. */
  static byte[] page() throws IOException {
    String page = part("play/play.html").replace("/*STYLE*/", part("play/play.css"));
    return page.getBytes(StandardCharsets.UTF_8);
  }

  /**
   * The page's script with a library's key map.
   *
   * @param rows those of the index, in its order: the report knows samples by their place in it
   */
  static byte[] script(Sheet sheet, List<Zone> zones, List<IndexRow> rows) throws IOException {
    StringBuilder script = new StringBuilder();
    script
        .append("const PLAYED_LIBRARY = ")
        .append(JSON.writeValueAsString(library(sheet, zones, rows)))
        .append(";\n");
    for (String part : PARTS) {
      script.append(part(part));
    }
    return script.toString().getBytes(StandardCharsets.UTF_8);
  }

  private static Map<String, Object> library(Sheet sheet, List<Zone> zones, List<IndexRow> rows) {
    NoteNames names = sheet.naming().noteNames();
    Map<String, Object> library = new LinkedHashMap<>();
    library.put("name", sheet.library());
    library.put("sampleRate", sheet.output().sampleRate());
    library.put("wheel", wheel(sheet.map().dls().modWheel()));
    library.put("notes", IntStream.range(0, 128).mapToObj(names::spell).toList());
    library.put("about", sheet.about().lines());
    library.put("columns", COLUMNS);
    library.put("articulations", articulations(sheet, zones, places(rows)));
    return library;
  }

  private record Wheel(double fromHz, double toHz, double fromDb, double toDb) {}

  private static Wheel wheel(ModWheel wheel) {
    return wheel == null
        ? null
        : new Wheel(wheel.fromHz(), wheel.toHz(), wheel.resonanceFromDb(), wheel.resonanceToDb());
  }

  private static Map<String, Integer> places(List<IndexRow> rows) {
    Map<String, Integer> places = new HashMap<>();
    for (int i = 0; i < rows.size(); i++) {
      if (rows.get(i).file() != null) {
        places.put(rows.get(i).file(), i);
      }
    }
    return places;
  }

  private record PlayedArticulation(String name, List<Object> layers) {}

  private record PlayedLayer(String name, boolean recorded, List<Object> zones) {}

  private static List<Object> articulations(
      Sheet sheet, List<Zone> zones, Map<String, Integer> places) {
    Map<String, Map<String, List<Object>>> byLayer = new LinkedHashMap<>();
    for (Zone zone : zones) {
      byLayer
          .computeIfAbsent(zone.articulation(), a -> new LinkedHashMap<>())
          .computeIfAbsent(zone.layer(), l -> new ArrayList<>())
          .add(cells(zone, places.get(zone.file())));
    }
    List<Object> articulations = new ArrayList<>();
    byLayer.forEach(
        (name, layers) -> {
          List<Object> of = new ArrayList<>();
          layers.forEach(
              (layer, cells) -> of.add(new PlayedLayer(layer, isRecorded(sheet, layer), cells)));
          articulations.add(new PlayedArticulation(name, of));
        });
    return articulations;
  }

  private static boolean isRecorded(Sheet sheet, String layer) {
    return sheet.layers().stream().anyMatch(l -> l.isRecorded() && l.name().equals(layer));
  }

  private static List<Object> cells(Zone zone, Integer row) {
    return Arrays.asList(
        zone.file(),
        row,
        zone.dynamic(),
        zone.root(),
        zone.lowKey(),
        zone.highKey(),
        zone.lowVelocity(),
        zone.highVelocity(),
        zone.rr(),
        zone.rrCount(),
        zone.gainDb(),
        zone.loopStart(),
        zone.loopEnd(),
        zone.releaseMs());
  }

  private static String part(String name) throws IOException {
    String resource = "takewright/" + name;
    try (InputStream in = PlayPage.class.getClassLoader().getResourceAsStream(resource)) {
      if (in == null) {
        throw new FileNotFoundException(
            "a part of the page is missing in the program: "
                + resource
                + "; build the program again");
      }
      return new String(in.readAllBytes(), StandardCharsets.UTF_8);
    }
  }
}
