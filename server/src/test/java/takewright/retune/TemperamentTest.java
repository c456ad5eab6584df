package takewright.retune;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class TemperamentTest {
  /**
   * Cents over C. Quarter-comma meantone and Kirnberger III as in the Scala archive of tunings
   * (meanquar.scl, kirnberger.scl); Werckmeister III as given with the Humdrum tools' tunings;
   * Vallotti, Pythagorean and just from memory of the usual tables, by Barbour's definitions.
   */
  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "equal|0 100 200 300 400 500 600 700 800 900 1000 1100",
        "pythagorean|0 113.685 203.910 294.135 407.820 498.045 611.730 701.955 815.640 905.865 "
            + "996.090 1109.775",
        "quarter_comma_meantone|0 76.049 193.157 310.265 386.314 503.422 579.471 696.578 772.627 "
            + "889.735 1006.843 1082.892",
        "werckmeister_3|0 90.225 192.18 294.135 390.225 498.045 588.27 696.09 792.18 888.27 "
            + "996.09 1092.18",
        "kirnberger_3|0 90.225 193.157 294.135 386.314 498.045 590.224 696.578 792.180 889.735 "
            + "996.090 1088.269",
        "vallotti|0 94.135 196.090 298.045 392.180 501.955 592.180 698.045 796.090 894.135 "
            + "1000.0 1090.225",
        "just|0 111.731 203.910 315.641 386.314 498.045 590.224 701.955 813.686 884.359 996.090 "
            + "1088.269",
      })
  void namedOnesAreAsPublished(String name, String table) {
    Temperament temperament = Temperament.byName().get(name);
    String[] cents = table.split(" ");
    double c = temperament.cents(60);
    for (int i = 0; i < 12; i++) {
      double published = Double.parseDouble(cents[i]);
      assertEquals(published, 100 * i + temperament.cents(60 + i) - c, 0.001, name + " " + i);
    }
    assertEquals(0, temperament.cents(69), 1e-12, "A sounds as tuned");
    assertEquals(415, temperament.hz(69, 415), 1e-9);
    assertEquals(830, temperament.hz(81, 415), 1e-9);
  }

  /** By the table above. */
  @Test
  void theNearestNoteIsThatOfTheTemperament() {
    Temperament meantone = Temperament.byName().get("quarter_comma_meantone");
    // E over A: 386.314 - 889.735 + 500 cents off equal temperament.
    assertEquals(5, meantone.centsOffNearest(64 + (386.314 - 889.735 + 500 + 5) / 100), 1e-2);
    assertEquals(0, meantone.centsOffNearest(69), 1e-9);
    // Sharps may lie so far off that another note of equal temperament is nearer.
    List<Double> offsets = new java.util.ArrayList<>(java.util.Collections.nCopies(12, 0.0));
    offsets.set(1, 80.0);
    assertEquals(-2, new Temperament(offsets).centsOffNearest(61.78), 1e-9);
  }

  @ParameterizedTest
  @CsvSource({"11", "13"})
  void twelveOffsetsAreWanted(int count) {
    assertThrows(
        IllegalArgumentException.class,
        () -> new Temperament(java.util.Collections.nCopies(count, 0.0)));
  }

  @ParameterizedTest
  @CsvSource({"-100.1", "101", "NaN"})
  void offsetsBeyondASemitoneAreRefused(double offset) {
    List<Double> offsets = new java.util.ArrayList<>(java.util.Collections.nCopies(12, 0.0));
    offsets.set(4, offset);
    assertThrows(IllegalArgumentException.class, () -> new Temperament(offsets));
  }
}
