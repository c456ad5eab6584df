package takewright.loop;

import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class LoopSettingsTest {
  @ParameterizedTest
  @CsvSource({
    "0, 0.6, 8, 0.12, frequency",
    "NaN, 0.6, 8, 0.12, frequency",
    "440, 0.05, 8, 0.12, lengths",
    "440, 61, 80, 0.12, lengths",
    "440, 2, 2, 0.12, lengths",
    "440, 0.6, 8, 0.005, cross-fade",
    "440, 0.6, 8, 1.5, cross-fade"
  })
  void whatMakesNoLoopIsRefused(double hz, double min, double max, double fade, String word) {
    IllegalArgumentException refused =
        assertThrows(IllegalArgumentException.class, () -> new LoopSettings(hz, min, max, fade));
    assertTrue(refused.getMessage().contains(word), refused.getMessage());
  }

  @Test
  void theBoundsThemselvesAreTaken() {
    new LoopSettings(440, 0.1, 0.2, 0.01);
    new LoopSettings(440, 60, 61, 1);
  }
}
