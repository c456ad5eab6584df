package takewright.report;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.LinkedHashMap;
import java.util.Map;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** The sounds that the page plays beside a sample. */
class SampleSoundsTest {
  private static final int RATE = 48_000;

  /**
   * Of a tone with hum, the hum is what was taken away. It is raised to a peak of -20 dBFS, so by
   * how much tells its level; the tone, which stays, would need no raising at all.
   */
  @ParameterizedTest
  @CsvSource({"0.01, 20", "0.001, 40", "0.2, 0"})
  void whatWasRemovedIsHeardAlone(double hum, long raisedDb) {
    float[] before = new float[RATE];
    float[] clean = new float[RATE];
    for (int i = 0; i < RATE; i++) {
      clean[i] = (float) (0.5 * Math.sin(2 * Math.PI * 440 * i / RATE));
      before[i] = clean[i] + (float) (hum * Math.sin(2 * Math.PI * 50 * i / RATE));
    }
    Map<String, Object> content = new LinkedHashMap<>();
    SampleSounds.removed(new Mono(before, RATE), new Mono(clean, RATE), content);
    assertEquals(raisedDb, content.get("removedDb"));
  }
}
