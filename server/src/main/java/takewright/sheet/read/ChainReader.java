package takewright.sheet.read;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.function.Function;
import takewright.diagnosis.Place;
import takewright.diagnosis.Problem;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.SettingException;
import takewright.layer.Effect;
import takewright.sheet.ChainLink;
import takewright.sheet.SheetException;
import takewright.sheet.SheetProblem;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;
import takewright.sheet.read.yaml.Section;
import takewright.sheet.read.yaml.SheetText;
import takewright.sheet.read.yaml.Value;

/** Reads chains of effects, which sheets and commands write alike. */
public final class ChainReader {
  /** More is a slip: a chain of this length takes longer than the rest of a build. */
  private static final int MAX_EFFECTS = 32;

  /** The tempo that shows whether a note value is one, where the take's is not known yet. */
  private static final double ANY_BPM = 120;

  private static final Key<Double> BAND_HZ =
      Key.number("hz", 10, 20_000, "Hz", null, "Its centre, in hertz.").required("1000");
  private static final Key<Double> Q =
      Key.number("q", 0.1, 30, "", 1.0, "Centre divided by the width at -3 dB.");
  private static final Section BAND_PASS = Section.of("`band_pass`", BAND_HZ, Q);

  private static final Key<Double> SHELF_HZ =
      Key.number("hz", 10, 20_000, "Hz", null, "Frequency at half the gain, in hertz.")
          .required("400");
  private static final Key<Double> SHELF_DB =
      Key.number("gain_db", -24, 24, "dB", null, "Gain in dB.").required("-3");
  private static final Section SHELF = Section.of("a shelf", SHELF_HZ, SHELF_DB);

  private static final Key<Double> TIME_MS =
      Key.number("time_ms", 1, 5000, "ms", null, "From one echo to the next, in milliseconds.");
  private static final Key<String> NOTE =
      Key.text("note", "The same as a note value: 1/4, 1/8. (dotted), 1/8t (of a triplet).");
  private static final Key<Double> TEMPO =
      Key.number("tempo_bpm", 10, 400, "beats per minute", null, "Tempo of the note value.");
  private static final Key<Double> FEEDBACK =
      Key.number("feedback", 0, 0.95, "", 0.0, "Level of each echo against the one before.");
  private static final Key<Double> ECHO_LOW_PASS =
      Key.number("low_pass", 10, 20_000, "Hz", null, "A low pass that every echo goes through.");
  private static final Key<Double> WET_DB =
      Key.number("wet_db", -60, 12, "dB", Effect.DEFAULT_WET_DB, "Level against the sound, in dB.");
  private static final Section DELAY =
      Section.of("`delay`", TIME_MS, NOTE, TEMPO, FEEDBACK, ECHO_LOW_PASS, WET_DB);

  private static final Key<Double> DECAY_S =
      Key.number("decay_s", 0.1, 30, "s", null, "Time to die away by 60 dB, in seconds.")
          .required("4");
  private static final Key<Double> DAMPING =
      Key.number(
          "damping", 0, 1, "", Effect.Reverb.DEFAULT_DAMPING, "How much sooner highs die away.");
  private static final Section REVERB = Section.of("`reverb`", DECAY_S, DAMPING, WET_DB);

  private static final List<Key<ChainLink>> EFFECTS =
      List.of(
          number("high_pass", 10, 20_000, "Hz", "Takes off what is below.", Effect.HighPass::new),
          number("low_pass", 10, 20_000, "Hz", "Takes off what is above.", Effect.LowPass::new),
          Key.section("band_pass", BAND_PASS, "Leaves a band.").as(ChainReader::bandPass),
          Key.section("low_shelf", SHELF, "Raises or lowers what is below a frequency.")
              .as(fields -> shelf(fields, false)),
          Key.section("high_shelf", SHELF, "Raises or lowers what is above a frequency.")
              .as(fields -> shelf(fields, true)),
          Key.section("delay", DELAY, "Echoes beside the sound.").as(ChainReader::delay),
          Key.section("reverb", REVERB, "A made-up room beside the sound.").as(ChainReader::reverb),
          number("saturation", 0, 24, "dB", "Bends loud sound.", Effect.Saturation::new),
          number("width", 0, 2, "", "How far apart two channels are.", Effect.Width::new),
          Key.yesOrNo("reverse", null, "Plays what follows the onset backwards.")
              .as(yes -> yes ? new ChainLink(new Effect.Reverse(), null) : null),
          number("gain", -60, 24, "dB", "Louder or softer.", Effect.Gain::new));

  private static final Section EFFECT = new Section("a chain", List.copyOf(EFFECTS));

  /** The key of a layer under which its chain stands. */
  static final Key<List<Fields>> CHAIN =
      Key.sections("chain", EFFECT, "Effects in the order the sound takes, one per item.");

  private ChainReader() {}

  private static Key<ChainLink> number(
      String name,
      double min,
      double max,
      String unit,
      String meaning,
      Function<Double, Effect> effect) {
    return Key.number(name, min, max, unit, null, meaning)
        .as(value -> new ChainLink(effect.apply(value), null));
  }

  /** The chain of a layer; what is wrong in it is noted, and left out. */
  static List<ChainLink> read(Fields layer) {
    return chain(layer.get(CHAIN));
  }

  /**
   * Reads a chain by itself, such as {@code [{high_pass: 300}, {reverb: {decay_s: 4}}]}.
   *
   * @param field what the text came by, for errors
   * @param tempoBpm quarter notes per minute, for delays in note values without a tempo of their
   *     own; null for none
   * @throws ProblemException if it is not one: the first thing that is wrong
   */
  public static List<Effect> read(String field, String text, Double tempoBpm) {
    if (text.isBlank()) {
      throw ProblemException.invalid(field, "is empty", "write it like [{high_pass: 300}]");
    }
    List<SheetProblem> problems = new ArrayList<>();
    List<ChainLink> links;
    try {
      SheetText yaml = SheetText.of(Path.of("chain"), text);
      links = chain(CHAIN.read(new Value(yaml, problems, "chain", yaml.root())));
    } catch (SheetException e) {
      throw new ProblemException(e.problem().elsewhere().of(field), e);
    }
    List<Effect> effects = new ArrayList<>();
    for (ChainLink link : links) {
      if (link.noteValue() != null && tempoBpm == null) {
        problems.add(
            SheetProblem.error(
                1, "delay", "has a note value, and there is no tempo", "give `tempo_bpm`"));
        break;
      }
      effects.add(link.at(tempoBpm));
    }
    if (!problems.isEmpty()) {
      throw new ProblemException(in(field, SheetProblem.worst(problems).problem()));
    }
    return effects;
  }

  private static Problem in(String field, Problem found) {
    boolean whole = found.field().equals("chain");
    Place place = whole ? null : new Place("", 0, found.field());
    return new Problem(found.reason(), field, place, found.what(), found.remedy());
  }

  private static List<ChainLink> chain(List<Fields> items) {
    List<ChainLink> chain = new ArrayList<>();
    for (Fields item : items) {
      if (chain.size() == MAX_EFFECTS) {
        item.error(
            item.line(), "chain", "holds more than " + MAX_EFFECTS + " effects", "leave some out");
        break;
      }
      if (item.keys().size() > 1) {
        item.error(
            item.line(),
            "chain",
            "has an item of " + item.keys().size() + " effects",
            "begin each effect with -, or write each in braces of its own");
        continue;
      }
      for (Key<ChainLink> effect : EFFECTS) {
        ChainLink link = item.get(effect);
        if (link != null) {
          chain.add(link);
        }
      }
    }
    return chain;
  }

  private static ChainLink bandPass(Fields fields) {
    Double hz = fields.get(BAND_HZ);
    return hz == null ? null : new ChainLink(new Effect.BandPass(hz, fields.get(Q)), null);
  }

  private static ChainLink shelf(Fields fields, boolean high) {
    Double hz = fields.get(SHELF_HZ);
    Double db = fields.get(SHELF_DB);
    return hz == null || db == null ? null : new ChainLink(new Effect.Shelf(high, hz, db), null);
  }

  private static ChainLink reverb(Fields fields) {
    Double decay = fields.get(DECAY_S);
    return decay == null
        ? null
        : new ChainLink(new Effect.Reverb(decay, fields.get(DAMPING), fields.get(WET_DB)), null);
  }

  private static ChainLink delay(Fields fields) {
    fields.refuseBoth(TIME_MS, NOTE, "leave one out");
    fields.requireWith(TEMPO, NOTE);
    String note = fields.get(NOTE);
    if (note == null) {
      fields.require(TIME_MS, "write time_ms: 380, or note: 1/8");
    }
    Double timeMs = note == null ? fields.get(TIME_MS) : (Double) 1.0;
    Double tempo = fields.get(TEMPO);
    if (timeMs == null) {
      return null;
    }
    ChainLink link =
        new ChainLink(
            new Effect.Delay(
                timeMs, fields.get(FEEDBACK), fields.get(ECHO_LOW_PASS), fields.get(WET_DB)),
            note);
    if (note == null) {
      return link;
    }
    try {
      Effect known = link.at(tempo == null ? ANY_BPM : tempo);
      return tempo == null ? link : new ChainLink(known, null);
    } catch (SettingException e) {
      boolean tooLong = e.problem().field().equals("delay.time_ms");
      fields.error(
          NOTE,
          tooLong ? "is too long or too short at its tempo" : e.problem().what(),
          tooLong ? "choose another note value" : e.problem().remedy());
      return null;
    }
  }
}
