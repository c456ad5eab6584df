package takewright.sheet.read;

import java.util.LinkedHashMap;
import java.util.Locale;
import java.util.Map;
import takewright.diagnosis.SettingException;
import takewright.map.MapSettings;
import takewright.name.NoteNames;
import takewright.sheet.LevelRules;
import takewright.sheet.Output;

/** Reads what the files of a library are to be, and how they lie on the keys. */
final class OutputReader {
  private static final Key<Integer> SAMPLE_RATE =
      Key.whole(
          "sample_rate", 8000, 192_000, "Hz", Output.DEFAULTS.sampleRate(), "Frames per second.");
  private static final Key<Integer> BIT_DEPTH =
      Key.word("bit_depth", depths(), Output.DEFAULTS.bitDepth(), "Bits per sample.");
  static final Key<Fields> OUTPUT =
      Key.section(
          "output",
          Section.of("`output`", SAMPLE_RATE, BIT_DEPTH),
          "What the sample files are to be.");

  private static final Key<LevelRules.GainPlace> GAIN =
      Key.word("gain", places(), LevelRules.DEFAULTS.gain(), "Where the gain of a sample goes.");
  private static final Key<Double> MAX_DB =
      Key.number(
          "max_db", 0, 24, "dB", LevelRules.DEFAULTS.maxDb(), "A sample is moved by at most this.");
  static final Key<Fields> LEVELS =
      Key.section("levels", Section.of("`levels`", GAIN, MAX_DB), "What is done about the levels.");

  private static final Key<Integer> REACH =
      Key.whole(
          "reach_semitones",
          0,
          24,
          "semitones",
          MapSettings.DEFAULTS.reachSemitones(),
          "How far from its own note a sample may be played.");
  private static final Key<Boolean> VELOCITIES =
      Key.word(
          "velocities",
          velocities(),
          MapSettings.DEFAULTS.evenVelocities(),
          "How velocities are shared out among the dynamics.");
  private static final Key<String> FIRST_KEY =
      Key.text("first_key", "The key on which hits and phrases begin.");
  static final Key<Fields> MAP =
      Key.section(
          "map",
          Section.of("`map`", REACH, VELOCITIES, FIRST_KEY),
          "How the samples lie on the keys.");

  private OutputReader() {}

  static Output output(Fields sheet) {
    Fields fields = sheet.get(OUTPUT);
    return fields == null
        ? Output.DEFAULTS
        : new Output(fields.get(SAMPLE_RATE), fields.get(BIT_DEPTH));
  }

  static LevelRules levels(Fields sheet) {
    Fields fields = sheet.get(LEVELS);
    return fields == null
        ? LevelRules.DEFAULTS
        : new LevelRules(fields.get(GAIN), fields.get(MAX_DB));
  }

  static MapSettings map(Fields sheet, NoteNames names) {
    Fields fields = sheet.get(MAP);
    if (fields == null) {
      return MapSettings.DEFAULTS;
    }
    int firstKey = MapSettings.DEFAULTS.firstKey();
    String key = fields.get(FIRST_KEY);
    if (key != null) {
      try {
        firstKey = names.parse(key);
      } catch (SettingException e) {
        fields.error(FIRST_KEY, e.problem().what(), e.problem().remedy());
      }
    }
    return new MapSettings(fields.get(REACH), fields.get(VELOCITIES), firstKey);
  }

  private static Map<String, Integer> depths() {
    Map<String, Integer> depths = new LinkedHashMap<>();
    depths.put("16", 16);
    depths.put("24", 24);
    depths.put("32", 32);
    return depths;
  }

  private static Map<String, LevelRules.GainPlace> places() {
    Map<String, LevelRules.GainPlace> places = new LinkedHashMap<>();
    for (LevelRules.GainPlace place : LevelRules.GainPlace.values()) {
      places.put(place.name().toLowerCase(Locale.ROOT), place);
    }
    return places;
  }

  /** Whether they are shared out evenly. */
  private static Map<String, Boolean> velocities() {
    Map<String, Boolean> velocities = new LinkedHashMap<>();
    velocities.put("loudness", false);
    velocities.put("even", true);
    return velocities;
  }
}
