package takewright.denoise.band;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class GammaTest {
  /**
   * Chi-square with so many degrees of freedom, by SciPy's stats.chi2.isf: half of it is a gamma
   * variable of half the shape.
   */
  @ParameterizedTest
  @CsvSource({
    "0.05, 1, 3.8414588206941285",
    "0.01, 2, 9.210340371976182",
    "0.001, 10, 29.58829844507442",
    "0.0001, 10, 35.56401394195211",
    "0.0001, 30, 67.63263025741402",
    "0.1, 100, 118.49800381106212",
    "0.0001, 1, 15.136705226623397"
  })
  void quantilesAreThoseOfAReferenceLibrary(double probability, double freedom, double chiSquare) {
    double x = 2 * Gamma.quantileAbove(probability, freedom / 2);
    assertEquals(chiSquare, x, 1e-8 * chiSquare);
    assertEquals(probability, Gamma.above(x / 2, freedom / 2), 1e-9);
  }

  /** ln 9! and ln sqrt(pi), exact. */
  @ParameterizedTest
  @CsvSource({"10, 12.801827480081469", "0.5, 0.5723649429247001", "1, 0"})
  void logGammaOfWellKnownValues(double x, double expected) {
    assertEquals(expected, Gamma.logGamma(x), 1e-9);
  }
}
