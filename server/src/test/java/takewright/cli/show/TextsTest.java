package takewright.cli.show;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class TextsTest {
  @ParameterizedTest
  @CsvSource({
    "12.34, +12.3 cents",
    "-7.25, -7.3 cents",
    "0.04, 0.0 cents",
    "-0.04, 0.0 cents",
    "-0.06, -0.1 cents",
    "10, +10.0 cents"
  })
  void nothingHasNoSign(double cents, String text) {
    assertEquals(text, Texts.cents(cents));
  }
}
