package takewright.sheet.read;

import java.util.LinkedHashMap;
import java.util.Locale;
import java.util.Map;
import takewright.denoise.DenoiseSettings;
import takewright.name.NoteNames;
import takewright.segment.SegmentSettings;
import takewright.sheet.Cutting;
import takewright.sheet.LevelRules;
import takewright.sheet.TakeRules;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;
import takewright.sheet.read.yaml.Section;
import takewright.sheet.read.yaml.Value;

/** Reads how takes are cut, cleaned, tuned and levelled, of a whole sheet and of single takes. */
final class RulesReader {
  private static final SegmentSettings USUAL = SegmentSettings.DEFAULTS;

  private static final Key<Boolean> FROM =
      Key.word(
          "from",
          sources(),
          null,
          "Whether the regions are found, or are the markers of the take's WAV files. Default: found.");
  private static final Key<Double> START =
      Key.number(
          "start_db",
          3,
          60,
          "dB",
          null,
          "How far above the room's noise a region starts. Default: 9.");
  private static final Key<Double> END =
      Key.number(
          "end_db",
          1,
          60,
          "dB",
          null,
          "How far above the room's noise a region must stay. Default: 3.");
  private static final Key<Double> MIN_GAP =
      Key.number(
          "min_gap_ms",
          0,
          10_000,
          "ms",
          null,
          "A gap up to this length does not split a region. Default: 250; 700 for phrases.");
  private static final Key<Double> MIN_LENGTH =
      Key.number(
          "min_length_ms", 1, 10_000, "ms", null, "Shorter sounds are left out. Default: 50.");

  /** Of the whole sheet, and of a take, which says otherwise. */
  static final Key<Fields> CUTTING =
      Key.section(
          "cutting",
          Section.of("`cutting`", FROM, START, END, MIN_GAP, MIN_LENGTH),
          "How takes are cut into regions.");

  /** Of a take alone. */
  static final Key<Boolean> LET_RING =
      Key.yesOrNo(
          "let_ring",
          false,
          "Whether its notes ring into the next on purpose: a tail that ends where the next note"
              + " begins is then not flagged.");

  private static final Key<Double> AMOUNT =
      Key.number(
          "amount_db",
          0,
          60,
          "dB",
          null,
          "How far the room's noise is lowered, in dB. Default: 24.");

  /** As {@link #CUTTING}. */
  static final Key<Double> CLEANING =
      Key.sectionOrSwitch(
          "cleaning",
          Section.of("`cleaning`", AMOUNT),
          fields -> fields.get(AMOUNT),
          on -> on ? DenoiseSettings.DEFAULTS.amountDb() : 0,
          "How the room's noise is lowered; no leaves it.");

  private static final Key<LevelRules.GainPlace> GAIN =
      Key.word("gain", places(), LevelRules.DEFAULTS.gain(), "Where the gain of a sample goes.");
  private static final Key<Double> MAX_DB =
      Key.number(
          "max_db", 0, 24, "dB", LevelRules.DEFAULTS.maxDb(), "A sample is moved by at most this.");
  private static final Key<Double> STRENGTH =
      Key.number(
          "strength",
          0,
          1,
          "",
          LevelRules.DEFAULTS.strength(),
          "Share of the way to the even level that a sample is moved: 1 evens everything out, 0 leaves everything as it was played.");

  /** As {@link #CUTTING}. */
  static final Key<Fields> LEVELS =
      Key.section(
          "levels",
          Section.of("`levels`", GAIN, MAX_DB, STRENGTH),
          "What is done about the levels.");

  private RulesReader() {}

  /**
   * The rules that a sheet or a take gives.
   *
   * @param otherwise what holds where it gives none
   */
  static TakeRules read(Fields fields, NoteNames names, TakeRules otherwise) {
    return new TakeRules(
        cutting(fields, otherwise.cutting()),
        fields.get(CLEANING, otherwise.cleaningDb()),
        TuningReader.read(fields, names, otherwise.tuning()),
        levels(fields, otherwise.levels()));
  }

  private static Cutting cutting(Fields of, Cutting otherwise) {
    Fields fields = of.get(CUTTING);
    boolean letRing = of.has(LET_RING) ? of.get(LET_RING) : otherwise.letRing();
    if (fields == null) {
      return otherwise.ringing(letRing);
    }
    Cutting cutting =
        new Cutting(
            fields.get(FROM, otherwise.fromMarkers()),
            fields.get(START, otherwise.startDb()),
            fields.get(END, otherwise.endDb()),
            fields.get(MIN_GAP, otherwise.minGapMs()),
            fields.get(MIN_LENGTH, otherwise.minLengthMs()),
            letRing);
    double start = cutting.startDb() == null ? USUAL.onThresholdDb() : cutting.startDb();
    double end = cutting.endDb() == null ? USUAL.offThresholdDb() : cutting.endDb();
    if (end > start) {
      fields.error(
          fields.has(END) ? END : START,
          "makes a region end above where it starts, at " + Value.shortest(start) + " dB",
          "give `end_db` that is at most `start_db`");
      return otherwise;
    }
    return cutting;
  }

  private static LevelRules levels(Fields of, LevelRules otherwise) {
    Fields fields = of.get(LEVELS);
    return fields == null
        ? otherwise
        : new LevelRules(
            fields.get(GAIN, otherwise.gain()),
            fields.get(MAX_DB, otherwise.maxDb()),
            fields.get(STRENGTH, otherwise.strength()));
  }

  /** In an order that stays: the schema is written in it. */
  private static Map<String, Boolean> sources() {
    Map<String, Boolean> sources = new LinkedHashMap<>();
    sources.put("found", false);
    sources.put("markers", true);
    return sources;
  }

  private static Map<String, LevelRules.GainPlace> places() {
    Map<String, LevelRules.GainPlace> places = new LinkedHashMap<>();
    for (LevelRules.GainPlace place : LevelRules.GainPlace.values()) {
      places.put(place.name().toLowerCase(Locale.ROOT), place);
    }
    return places;
  }
}
