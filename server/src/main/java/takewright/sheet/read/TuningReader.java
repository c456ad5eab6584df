package takewright.sheet.read;

import java.util.List;
import takewright.diagnosis.SettingException;
import takewright.name.NoteNames;
import takewright.retune.Temperament;
import takewright.sheet.TuningRules;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;
import takewright.sheet.read.yaml.Section;
import takewright.sheet.read.yaml.Value;

/** Reads how the notes of a library are brought in tune. */
final class TuningReader {
  private static final TuningRules USUAL = TuningRules.DEFAULTS;

  private static final Key<Temperament> TEMPERAMENT =
      Key.word(
          "temperament",
          Temperament.byName(),
          USUAL.temperament(),
          "Where the notes lie against equal temperament.");
  private static final Key<String> ROOT =
      Key.text("temperament_root", "The note that the temperament begins on, such as D or Eb.");
  private static final Key<List<Value.Item>> OFFSETS =
      Key.texts(
          "offsets_cents",
          "A temperament of your own: the cents that C, C#, D, ... B lie above equal temperament.");
  private static final Key<Double> LIMIT =
      Key.number(
          "limit_cents",
          0,
          1200,
          "cents",
          USUAL.limitCents(),
          "A note further off than this is flagged and left as it sounds.");
  private static final Key<Boolean> STEADY =
      Key.yesOrNo(
          "steady_pitch", USUAL.steadyPitch(), "Whether slow drift within a note is taken out.");
  private static final Section SECTION =
      Section.of("`tuning`", TEMPERAMENT, ROOT, OFFSETS, LIMIT, STEADY);

  static final Key<Fields> TUNING =
      Key.section("tuning", SECTION, "How the notes are brought in tune.");

  private TuningReader() {}

  /**
   * The rules that a sheet or a take gives.
   *
   * @param otherwise what holds where it gives none
   */
  static TuningRules read(Fields of, NoteNames names, TuningRules otherwise) {
    Fields fields = of.get(TUNING);
    return fields == null
        ? otherwise
        : new TuningRules(
            temperament(fields, names, otherwise.temperament()),
            fields.get(LIMIT, otherwise.limitCents()),
            fields.get(STEADY, otherwise.steadyPitch()));
  }

  private static Temperament temperament(Fields fields, NoteNames names, Temperament otherwise) {
    Temperament temperament = fields.get(TEMPERAMENT, otherwise);
    String root = fields.get(ROOT);
    if (fields.has(OFFSETS)) {
      fields.refuseBoth(TEMPERAMENT, OFFSETS, "leave one out");
      temperament = offsets(fields, temperament);
    }
    fields.requireWith(ROOT, TEMPERAMENT);
    if (root == null || !fields.has(TEMPERAMENT)) {
      return temperament;
    }
    try {
      // The octave says nothing here; names.parse wants one.
      return temperament.rootedAt(names.parse(root + "4") - names.parse("C4"));
    } catch (SettingException e) {
      fields.error(
          ROOT, "is not a note without octave: \"" + root + "\"", "give one such as D or Eb");
      return temperament;
    }
  }

  private static Temperament offsets(Fields fields, Temperament otherwise) {
    try {
      return new Temperament(
          fields.get(OFFSETS).stream().map(item -> Double.valueOf(item.text())).toList());
    } catch (SettingException e) {
      fields.error(OFFSETS, e.problem().what(), e.problem().remedy());
    } catch (NumberFormatException e) {
      fields.error(
          OFFSETS, "holds something that is not a number", "give twelve numbers, from C to B");
    }
    return otherwise;
  }
}
