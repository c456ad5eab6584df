package takewright.library;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.Callable;
import java.util.concurrent.Future;
import takewright.audio.AudioFile;
import takewright.audio.RiffInfo;
import takewright.audio.WavChunks;
import takewright.library.folder.IndexRow;
import takewright.library.folder.MapCsv;
import takewright.library.folder.OutputFolder;
import takewright.library.folder.Readme;
import takewright.library.sample.Recipe;
import takewright.map.DlsSettings;
import takewright.map.DlsWriter;
import takewright.map.KeyMap;
import takewright.map.MapSample;
import takewright.map.Mapping;
import takewright.map.Zone;
import takewright.name.NoteNames;
import takewright.sheet.Layer;
import takewright.sheet.LevelRules;
import takewright.sheet.MapTemplate;
import takewright.sheet.Sheet;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;
import takewright.sheet.cell.CellStatus;

/**
 * The key map of a finished build: {@code map.csv}, the keys in each sample's own chunks, one DLS
 * file per articulation and layer, the page on which it is played, and a README.txt that says what
 * is in the folder.
 */
final class KeyMapFiles {
  private static final String README = "README.txt";

  /** Written for every library. */
  private static final List<String> ALWAYS =
      List.of(MapCsv.FILE, README, PlayPage.PAGE, PlayPage.SCRIPT);

  private final Sheet sheet;
  private final MapTexts texts;
  private final OutputFolder folder;
  private final Background background;

  /** Instruments that are written while other samples are made, by name. */
  private final Map<String, Future<Void>> begun = new LinkedHashMap<>();

  /**
   * @param background where the DLS files are written
   * @throws IOException if a template of the sheet cannot be used
   */
  KeyMapFiles(Sheet sheet, OutputFolder folder, Background background) throws IOException {
    this.sheet = sheet;
    this.texts = new MapTexts(sheet);
    this.folder = folder;
    this.background = background;
  }

  /** The files that a build of a sheet may write beside samples and index. */
  static List<String> names(Sheet sheet) {
    Set<String> names = new LinkedHashSet<>(ALWAYS);
    for (Take take : sheet.takes()) {
      for (Layer layer : sheet.layers(take)) {
        names.add(instrument(sheet, take.articulation(), layer.name()) + ".dls");
      }
    }
    names.addAll(MapTexts.names(sheet));
    return List.copyOf(names);
  }

  /**
   * Begins the instruments of articulations whose samples are all made: so large files are on their
   * way to the disk while there is other work.
   *
   * @param rows all of those articulations
   */
  void begin(List<IndexRow> rows) throws IOException {
    List<Zone> zones = Mapping.apply(samples(rows), sheet.map().keys()).zones();
    begun.putAll(writing(zones, setKeys(zones), background::submitFirst));
  }

  /**
   * Writes them; the names of those that are there then.
   *
   * @param warnings receives keys that play nothing, and samples for which there was no key
   */
  List<String> write(List<IndexRow> rows, List<SheetProblem> warnings) throws IOException {
    KeyMap map = Mapping.apply(samples(rows), sheet.map().keys());
    // What was begun reads the samples; what of it turns out otherwise is written anew below.
    finished(begun);
    Map<String, Long> checksums = setKeys(map.zones());
    byte[] csv = MapCsv.write(map.zones(), sheet.naming().noteNames());
    List<String> written = new ArrayList<>(ALWAYS);
    write(MapCsv.FILE, csv);
    List<String> instruments = instruments(map.zones(), checksums, warnings);
    written.addAll(instruments);
    Map<String, byte[]> made = texts.texts(map.zones());
    for (Map.Entry<String, byte[]> text : made.entrySet()) {
      write(text.getKey(), text.getValue());
    }
    written.addAll(made.keySet());
    write(README, Readme.text(sheet, map, instruments, List.copyOf(made.keySet())));
    write(PlayPage.PAGE, PlayPage.page());
    write(PlayPage.SCRIPT, PlayPage.script(sheet, map.zones(), rows));
    warn(map, warnings);
    return written;
  }

  private void write(String name, byte[] content) throws IOException {
    String recipe = Recipe.digest(new String(content, StandardCharsets.UTF_8));
    folder.write(name, recipe, out -> out.write(content));
  }

  private List<MapSample> samples(List<IndexRow> rows) {
    List<MapSample> samples = new ArrayList<>();
    for (IndexRow row : rows) {
      if (row.status() != CellStatus.KEPT) {
        continue;
      }
      samples.add(
          new MapSample(
              row.file(),
              row.cell().articulation(),
              row.cell().layer(),
              row.cell().midi(),
              row.cell().dynamic() == null ? "" : row.cell().dynamic(),
              row.cell().rr() == null ? 1 : row.cell().rr(),
              row.measures().levelLufs(),
              isGainBeside(row) && row.measures().gainDb() != null ? row.measures().gainDb() : 0,
              row.loop().start(),
              row.loop().end(),
              row.loop().releaseMs()));
    }
    return samples;
  }

  /** Whether the gain of a sample is not in its audio. */
  private boolean isGainBeside(IndexRow row) {
    return isRecorded(row.cell().layer())
        && sheet.takes().stream()
            .anyMatch(
                take ->
                    take.name().equals(row.stretch().take())
                        && take.articulation().equals(row.cell().articulation())
                        && take.rules().levels().gain() == LevelRules.GainPlace.METADATA);
  }

  private boolean isRecorded(String name) {
    return sheet.layers().stream()
        .anyMatch(layer -> layer.isRecorded() && layer.name().equals(name));
  }

  static WavChunks.Instrument keys(Zone zone) {
    int gain = (int) Math.max(-64, Math.min(64, Math.round(zone.gainDb())));
    return new WavChunks.Instrument(
        zone.root(),
        0,
        gain,
        zone.lowKey(),
        zone.highKey(),
        zone.lowVelocity(),
        zone.highVelocity());
  }

  private Map<String, Long> setKeys(List<Zone> zones) throws IOException {
    Map<String, WavChunks.Instrument> keys = new LinkedHashMap<>();
    zones.forEach(zone -> keys.put(zone.file(), keys(zone)));
    return folder.setKeys(keys);
  }

  private List<String> instruments(
      List<Zone> zones, Map<String, Long> checksums, List<SheetProblem> warnings)
      throws IOException {
    Map<String, Future<Void>> writing = writing(zones, checksums, background::submit);
    Map<String, IllegalArgumentException> refused = finished(writing);
    refused
        .values()
        .forEach(
            e ->
                warnings.add(
                    SheetProblem.warning(
                        0,
                        "",
                        e.getMessage() + "; it was left out",
                        "split the articulation into two")));
    return writing.keySet().stream()
        .filter(name -> !refused.containsKey(name))
        .map(name -> name + ".dls")
        .toList();
  }

  /** A way to have work done. */
  private interface Submitter {
    Future<Void> submit(Callable<Void> work);
  }

  /** Has the instruments written; by their names. */
  private Map<String, Future<Void>> writing(
      List<Zone> zones, Map<String, Long> checksums, Submitter submitter) {
    Map<String, List<Zone>> groups = new LinkedHashMap<>();
    for (Zone zone : zones) {
      groups
          .computeIfAbsent(
              instrument(sheet, zone.articulation(), zone.layer()), g -> new ArrayList<>())
          .add(zone);
    }
    Map<String, Future<Void>> writing = new LinkedHashMap<>();
    groups.forEach(
        (name, of) ->
            writing.put(
                name,
                submitter.submit(
                    () -> {
                      background.stopIfCancelled();
                      instrument(name, of, checksums);
                      return null;
                    })));
    return writing;
  }

  /** Waits for instruments; what keeps those from being written that cannot be, by their names. */
  private Map<String, IllegalArgumentException> finished(Map<String, Future<Void>> writing)
      throws IOException {
    Map<String, IllegalArgumentException> refused = new LinkedHashMap<>();
    for (Map.Entry<String, Future<Void>> instrument : writing.entrySet()) {
      try {
        background.result(instrument.getValue());
      } catch (IllegalArgumentException e) {
        refused.put(instrument.getKey(), e);
      }
    }
    return refused;
  }

  private void instrument(String name, List<Zone> zones, Map<String, Long> checksums)
      throws IOException {
    DlsSettings settings = sheet.map().dls();
    StringBuilder recipe = new StringBuilder(name).append('|').append(settings);
    RiffInfo about = sheet.about().info();
    recipe.append(about.texts());
    zones.forEach(zone -> recipe.append('|').append(zone).append(checksums.get(zone.file())));
    Map<String, DlsWriter.WaveShape> shapes = shapes(zones);
    folder.write(
        name + ".dls",
        Recipe.digest(recipe.toString()),
        out ->
            DlsWriter.write(
                out,
                name,
                settings,
                about,
                zones,
                shapes,
                zone -> AudioFile.openChecked(folder.file(zone.file()))));
  }

  private Map<String, DlsWriter.WaveShape> shapes(List<Zone> zones) throws IOException {
    Map<String, DlsWriter.WaveShape> shapes = new LinkedHashMap<>();
    for (Zone zone : zones) {
      try (AudioFile audio = AudioFile.openChecked(folder.file(zone.file()))) {
        shapes.put(
            zone.file(),
            new DlsWriter.WaveShape(
                audio.sampleRate(), audio.channels(), audio.frames(), audio.bitDepth()));
      }
    }
    return shapes;
  }

  private void warn(KeyMap map, List<SheetProblem> warnings) {
    NoteNames names = sheet.naming().noteNames();
    for (KeyMap.Gap gap : map.gaps()) {
      if (!isRecorded(gap.layer())) {
        // Reported for the layer that it is made from.
        continue;
      }
      warnings.add(
          SheetProblem.warning(
              0,
              "map",
              "has no sample near "
                  + (gap.lowKey() == gap.highKey()
                      ? names.spell(gap.lowKey())
                      : names.spell(gap.lowKey()) + " to " + names.spell(gap.highKey()))
                  + " in "
                  + gap.articulation()
                  + ", "
                  + gap.layer()
                  + ", so these keys play nothing",
              "record a note there, or set `reach_semitones` under `map` higher"));
    }
    if (!map.leftOut().isEmpty()) {
      warnings.add(
          SheetProblem.warning(
              0,
              "first_key",
              "leaves no key for "
                  + map.leftOut().size()
                  + " samples, first "
                  + map.leftOut().get(0),
              "set `first_key` under `map` lower"));
    }
  }

  /** The name of an instrument, made safe for file names like those of samples. */
  private static String instrument(Sheet sheet, String articulation, String layer) {
    return MapTemplate.safe(sheet.library())
        + "_"
        + MapTemplate.safe(articulation)
        + "_"
        + MapTemplate.safe(layer);
  }
}
