package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Against tones whose frequency is known at every moment. */
class HarmonicTrackTest {
  /** A swing of 20 cents each way, once a second: slower than any window. */
  private static final double SWING = 0.0116;

  private static final double SWING_HZ = 1;

  private static double deviation(double timeS) {
    return SWING * Math.cos(2 * Math.PI * SWING_HZ * timeS);
  }

  /** Ten harmonics, each softer than the one before, as far as the rate holds them. */
  private static float[] note(int rate, double hz, double seconds) {
    float[] x = new float[(int) (seconds * rate)];
    for (int i = 0; i < x.length; i++) {
      double timeS = (double) i / rate;
      double swing = SWING * Math.sin(2 * Math.PI * SWING_HZ * timeS) / (2 * Math.PI * SWING_HZ);
      for (int k = 1; k <= 10 && k * hz < 0.45 * rate; k++) {
        x[i] += (float) (0.2 / k * Math.sin(2 * Math.PI * k * hz * (timeS + swing)));
      }
    }
    return x;
  }

  /** Low notes to some cents, since harmonics that lie close are heard through each other. */
  @ParameterizedTest
  @CsvSource({
    "48000, 41.2, 3",
    "48000, 196, 0.1",
    "48000, 440, 0.1",
    "48000, 1760, 0.1",
    "48000, 4186, 0.1",
    "44100, 98, 2",
    "44100, 660, 0.1",
    "96000, 220, 0.1",
    "96000, 3136, 0.1",
    "8000, 110, 2",
    "8000, 1760, 0.1"
  })
  void followsASlowSwing(int rate, double hz, double maxCents) {
    HarmonicTrack track = new HarmonicTrack(note(rate, hz, 2), 0, 2 * rate, rate, hz);
    assertEquals(0.005, (double) track.hop() / rate, 0.0002);
    assertEquals(2.0 * rate / track.hop(), track.size(), 1);
    int edge = (int) (0.2 * rate / track.hop());
    for (int i = edge; i < track.size() - edge; i++) {
      double timeS = (i - 0.5) * track.hop() / rate;
      double cents =
          1200 * (Math.log1p(track.deviation(i)) - Math.log1p(deviation(timeS))) / Math.log(2);
      assertEquals(0, cents, maxCents, "at " + timeS + " s");
    }
  }
}
