package takewright.sheet.read;

import java.util.LinkedHashMap;
import java.util.Locale;
import java.util.Map;
import takewright.sheet.LevelRules;
import takewright.sheet.Output;

/** Reads what the files of a library are to be, and what is done about their levels. */
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
}
