package takewright.sheet.read;

import takewright.pitch.Kind;
import takewright.sheet.Treatment;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;

/** Reads what is done to the samples of a take beyond cutting and cleaning. */
final class TreatmentReader {
  static final Key<String> TUNE =
      Key.text(
          "tune", "Whether the notes are brought in tune, or by how many cents all are moved.");

  /** Of the whole sheet, and of a take, which says otherwise. */
  static final Key<Boolean> LOOP = Key.yesOrNo("loop", null, "Whether loops are looked for.");

  static final Key<Boolean> TRIM =
      Key.yesOrNo(
          "trim_round_robins",
          false,
          "Whether the round robins of a note are cut to the length of the shortest.");

  /** The furthest that all samples of a take are moved, in cents. */
  private static final double MAX_SHIFT_CENTS = 1200;

  private final Boolean usualLoop;
  private final boolean usualTrim;

  /** The reader for the takes of a sheet. */
  TreatmentReader(Fields sheet) {
    usualLoop = sheet.get(LOOP);
    usualTrim = sheet.get(TRIM);
  }

  /** Whether a take says anything of it. */
  static boolean isIn(Fields take) {
    return take.has(TUNE) || take.has(LOOP) || take.has(TRIM);
  }

  Treatment read(Fields take, Kind kind, String articulation, boolean hasNotes) {
    Treatment ofKind = Treatment.usual(kind);
    Boolean loop = take.get(LOOP, usualLoop);
    boolean looped = loop == null || kind != Kind.PITCHED ? ofKind.looped() : loop;
    boolean asked = loop != null && loop && take.has(LOOP);
    if (asked && kind != Kind.PITCHED) {
      take.error(LOOP, "is for takes of kind pitched, not " + kind.word(), "leave it out");
    }
    boolean tuned = ofKind.tuned() && !Treatment.soundsElsewhere(articulation);
    Double shift = null;
    String tune = take.get(TUNE);
    if (tune != null) {
      shift = cents(tune);
      tuned = shift == null && (tune.equals("yes") || tune.equals("true"));
      boolean no = tune.equals("no") || tune.equals("false");
      if (shift != null ? Math.abs(shift) > MAX_SHIFT_CENTS : !tuned && !no) {
        take.error(
            TUNE,
            "is \"" + tune + "\"",
            "give yes, no, or by how many cents all samples are moved, -1200 to 1200");
        shift = null;
      } else if (tuned && !hasNotes) {
        take.error(
            TUNE,
            "needs `notes` to tune to",
            "give how many cents to move the samples, or leave it out");
      }
    }
    return new Treatment(tuned, shift, looped, asked, take.get(TRIM, usualTrim));
  }

  private static Double cents(String tune) {
    try {
      return Double.valueOf(tune);
    } catch (NumberFormatException e) {
      return null;
    }
  }
}
