package takewright.demo;

import java.util.Locale;

/**
 * A row of the truth table: one sound of a take, or one that is missing from it.
 *
 * @param take file name of the take
 * @param what note, hit, talk, knock or missing
 * @param startS when it begins, in seconds from the start of the take; NaN if it is missing
 * @param onsetS when it first stands above the room tone
 * @param endS when it last does
 * @param midi nearest MIDI note, or -1 where there is no pitch
 * @param cents deviation from that note, equal temperament with A4 at 440 Hz
 * @param dynamic p, mf, f, or empty
 * @param rr round robin from 1, or 0 for none
 * @param retake whether it was played again later, so that the later one counts
 */
record Truth(
    String take,
    String what,
    double startS,
    double onsetS,
    double endS,
    int midi,
    double cents,
    String dynamic,
    int rr,
    boolean retake) {
  static final String HEADER = "take,what,start_s,onset_s,end_s,midi,cents,dynamic,rr,retake";

  /** Something that is no sound of the instrument. */
  static Truth hazard(String what) {
    return new Truth("", what, 0, 0, 0, -1, 0, "", 0, false);
  }

  static Truth hit(int rr) {
    return new Truth("", "hit", 0, 0, 0, -1, 0, "", rr, false);
  }

  static Truth note(int midi, double cents, String dynamic, int rr, boolean retake) {
    return new Truth("", "note", 0, 0, 0, midi, cents, dynamic, rr, retake);
  }

  static Truth missing(int midi, String dynamic, int rr) {
    return new Truth("", "missing", 0, 0, 0, midi, 0, dynamic, rr, false);
  }

  Truth at(String file, double start, double onset, double end) {
    return new Truth(file, what, start, onset, end, midi, cents, dynamic, rr, retake);
  }

  /** The row; what does not apply is left empty. */
  String csv() {
    return String.join(
        ",",
        take,
        what,
        seconds(startS),
        seconds(onsetS),
        seconds(endS),
        midi < 0 ? "" : Integer.toString(midi),
        what.equals("note") ? String.format(Locale.ROOT, "%.2f", cents) : "",
        dynamic,
        rr == 0 ? "" : Integer.toString(rr),
        retake ? "1" : "0");
  }

  private static String seconds(double s) {
    return Double.isNaN(s) ? "" : String.format(Locale.ROOT, "%.6f", s);
  }
}
