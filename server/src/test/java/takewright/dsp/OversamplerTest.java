package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class OversamplerTest {
  /** Cycles a sample of tones up to the edge of the band that is kept. */
  @ParameterizedTest
  @ValueSource(doubles = {0.001, 0.02, 0.1, 0.25, 0.35, 0.4166})
  void aToneComesThroughAndNothingElse(double frequency) {
    float[] x = Tone.sine(frequency, 0.5, 20_000);
    for (int doublings = 1; doublings <= 3; doublings++) {
      Oversampler oversampler = new Oversampler(doublings);
      float[] raised = oversampler.up(x);
      int factor = 1 << doublings;
      assertEquals(factor * x.length, raised.length);
      Tone up = Tone.fit(raised, 2000 * factor, 18_000 * factor, frequency / factor);
      assertEquals(0, Tone.db(up.amplitude() / 0.5), 0.001);
      assertEquals(0, up.phase(), 1e-5);
      assertTrue(Tone.db(up.restRms() / 0.5) < -108, "images: " + Tone.db(up.restRms() / 0.5));
      float[] back = oversampler.down(raised);
      assertEquals(x.length, back.length);
      for (int i = 2000; i < 18_000; i++) {
        assertEquals(x[i], back[i], 1e-5);
      }
    }
  }

  /** What would fold into the band is taken away: tones of the raised rate beyond it. */
  @ParameterizedTest
  @ValueSource(doubles = {0.6, 0.9, 1.1, 1.3, 1.7, 2.4, 3.3, 3.9})
  void nothingFolds(double frequency) {
    float[] raised = Tone.sine(frequency / 8, 0.5, 80_000);
    float[] back = new Oversampler(3).down(raised);
    assertTrue(Tone.db(Tone.rms(back, 1000, 9000) / 0.35) < -108);
  }

  @Test
  void otherFactorsAreRefused() {
    assertThrows(IllegalArgumentException.class, () -> new Oversampler(0));
    assertThrows(IllegalArgumentException.class, () -> new Oversampler(6));
    assertEquals(0, new Oversampler(2).up(new float[0]).length);
  }
}
