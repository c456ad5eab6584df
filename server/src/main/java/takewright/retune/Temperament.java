package takewright.retune;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;
import takewright.dsp.Cents;

/**
 * How far each of the twelve notes lies from equal temperament.
 *
 * @param offsets in cents from C on, twelve, each -100 to 100
 */
public record Temperament(List<Double> offsets) {
  /** The notes in the order of the offsets, from C on. */
  private static final int NOTES = 12;

  private static final int A = 9;

  /** Twelve fifths over seven octaves: 23.46 cents. */
  private static final double PYTHAGOREAN_COMMA = 12 * fifth() - 8400;

  /** Four fifths over a pure third and two octaves, 81/80: 21.51 cents. */
  private static final double SYNTONIC_COMMA = cents(81, 80);

  /** Twelve equal steps. */
  public static final Temperament EQUAL = new Temperament(rootedAtA(new double[NOTES]));

  private static final Map<String, Temperament> NAMED = named();

  public Temperament {
    offsets = List.copyOf(offsets);
    if (offsets.size() != NOTES) {
      throw new SettingException(
          "offsets_cents",
          "holds " + offsets.size() + " numbers",
          "give twelve, the cents that C, C#, D, ... B lie above equal temperament");
    }
    for (double offset : offsets) {
      if (!(offset >= -100 && offset <= 100)) {
        throw new SettingException(Problem.outOfRange("offsets_cents", offset, -100, 100, "cents"));
      }
    }
  }

  /**
   * Temperaments by name: equal, pythagorean, quarter_comma_meantone, werckmeister_3, kirnberger_3,
   * vallotti, just. Their definitions are those in J. M. Barbour, "Tuning and Temperament: A
   * Historical Survey", 1951; the chain of fifths goes from E flat to G sharp. A has no offset, so
   * that it sounds as tuned.
   */
  public static Map<String, Temperament> byName() {
    return NAMED;
  }

  /** The offset of a note, in cents. */
  public double cents(int midi) {
    return offsets.get(Math.floorMod(midi, NOTES));
  }

  /**
   * How far a pitch lies above the note that is nearest to it, in cents.
   *
   * @param midi MIDI note number with its fraction, by equal temperament
   */
  public double centsOffNearest(double midi) {
    int near = (int) Math.rint(midi);
    double min = Double.MAX_VALUE;
    // A note may be up to a semitone from its place in equal temperament.
    for (int note = near - 2; note <= near + 2; note++) {
      double off = 100 * (midi - note) - cents(note);
      min = Math.abs(off) < Math.abs(min) ? off : min;
    }
    return min;
  }

  /**
   * The frequency of a note, in hertz.
   *
   * @param midi MIDI note number
   * @param tuningHz frequency of A4, to which the offset of A is added
   */
  public double hz(int midi, double tuningHz) {
    return tuningHz * Cents.toRatio(100 * (midi - 69) + cents(midi));
  }

  /**
   * The same on another root than C; A4 keeps its frequency.
   *
   * @param semitones of the note above C
   */
  public Temperament rootedAt(int semitones) {
    double[] moved = new double[NOTES];
    for (int i = 0; i < NOTES; i++) {
      moved[i] = cents(i - semitones);
    }
    return new Temperament(rootedAtA(moved));
  }

  private static Map<String, Temperament> named() {
    double p = PYTHAGOREAN_COMMA;
    double s = SYNTONIC_COMMA;
    Map<String, Temperament> all = new LinkedHashMap<>();
    all.put("equal", EQUAL);
    //                                Eb Bb F C G D A E B F# C#, each with the fifth above it
    all.put("pythagorean", narrowed(0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0));
    double m = s / 4;
    all.put("quarter_comma_meantone", narrowed(m, m, m, m, m, m, m, m, m, m, m));
    double w = p / 4;
    all.put("werckmeister_3", narrowed(0, 0, 0, w, w, w, 0, 0, w, 0, 0));
    // The remaining schisma is between F sharp and C sharp.
    all.put("kirnberger_3", narrowed(0, 0, 0, m, m, m, m, 0, 0, p - s, 0));
    double v = p / 6;
    all.put("vallotti", narrowed(0, 0, v, v, v, v, v, v, 0, 0, 0));
    all.put(
        "just",
        new Temperament(
            rootedAtA(
                off(
                    cents(1, 1),
                    cents(16, 15),
                    cents(9, 8),
                    cents(6, 5),
                    cents(5, 4),
                    cents(4, 3),
                    cents(45, 32),
                    cents(3, 2),
                    cents(8, 5),
                    cents(5, 3),
                    cents(16, 9),
                    cents(15, 8)))));
    return java.util.Collections.unmodifiableMap(all);
  }

  /** A chain of fifths from E flat up to G sharp, each this many cents narrower than pure. */
  private static Temperament narrowed(double... narrowings) {
    double[] cents = new double[NOTES];
    int note = 3;
    double at = 0;
    for (double narrowing : narrowings) {
      at += fifth() - narrowing;
      note = (note + 7) % NOTES;
      cents[note] = at;
    }
    double c = cents[0];
    for (int i = 0; i < NOTES; i++) {
      cents[i] = Math.IEEEremainder(cents[i] - c - 100 * i, 1200);
    }
    return new Temperament(rootedAtA(cents));
  }

  private static double[] off(double... cents) {
    double[] off = new double[NOTES];
    for (int i = 0; i < NOTES; i++) {
      off[i] = cents[i] - 100 * i;
    }
    return off;
  }

  private static List<Double> rootedAtA(double[] offsets) {
    List<Double> rooted = new ArrayList<>();
    for (double offset : offsets) {
      rooted.add(offset - offsets[A]);
    }
    return rooted;
  }

  private static double fifth() {
    return cents(3, 2);
  }

  private static double cents(double over, double under) {
    return Cents.above(over, under);
  }
}
