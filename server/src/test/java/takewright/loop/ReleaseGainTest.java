package takewright.loop;

import static org.junit.jupiter.api.Assertions.assertEquals;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.DoubleRange;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;

/** A tone that grows or dies away evenly in dB, so that the level a loop leaves is known. */
class ReleaseGainTest {
  private static final int RATE = 48000;
  private static final int PERIOD = 160;
  private static final Loop LOOP = new Loop(300 * PERIOD, 900 * PERIOD - 1, 36 * PERIOD);

  private static float[] tone(double dbPerLoop) {
    float[] x = new float[1200 * PERIOD];
    for (int i = 0; i < x.length; i++) {
      double db = dbPerLoop * (i - LOOP.start()) / LOOP.length();
      for (int k = 1; k <= 20; k++) {
        x[i] += (float) (0.1 * Math.pow(10, db / 20) / k * Math.sin(2 * Math.PI * k * i / PERIOD));
      }
    }
    return x;
  }

  private static double db(float[] x, int from, int periods) {
    double sum = 0;
    for (int i = from; i < from + periods * PERIOD; i++) {
      sum += (double) x[i] * x[i];
    }
    return 10 * Math.log10(sum / (periods * PERIOD));
  }

  @Property(tries = 20)
  void theReleaseBeginsAtTheLevelThatTheLoopLeaves(
      @ForAll @DoubleRange(min = -3, max = 3) double dbPerLoop) {
    float[] x = tone(dbPerLoop);
    float[] y = CrossFade.apply(Clip.of(RATE, x), LOOP).channel(0);
    int seam = LOOP.end() + 1;
    // 60 periods are two tenths of a second.
    double recorded = db(x, seam, 60) - db(x, seam - 60 * PERIOD, 60);
    double played = db(y, seam, 60) - db(y, seam - 60 * PERIOD, 60);
    // If nothing were done, it would begin with a step of 0.4 of the change over the loop.
    assertEquals(recorded, played, 0.05 + 0.27 * Math.abs(dbPerLoop));
    double behind = db(y, seam + 60 * PERIOD, 120) - db(x, seam + 60 * PERIOD, 120);
    assertEquals(-dbPerLoop / 2, behind, 0.05 + 0.1 * Math.abs(dbPerLoop));
  }

  @Test
  void allChannelsHaveTheSameGain() {
    Clip two = Clip.of(RATE, tone(3), tone(0));
    Clip faded = CrossFade.apply(two, LOOP);
    int at = LOOP.end() + 1 + LOOP.fade();
    double left = db(faded.channel(0), at, 60) - db(two.channel(0), at, 60);
    double right = db(faded.channel(1), at, 60) - db(two.channel(1), at, 60);
    assertEquals(left, right, 1e-4);
  }

  /** Over a loop's length the tone grows by 40 dB: that is no release of the sound that is held. */
  @Test
  void noReleaseIsMovedByMoreThanThreeDecibels() {
    float[] x = tone(40);
    float[] y = CrossFade.apply(Clip.of(RATE, x), LOOP).channel(0);
    int at = LOOP.end() + 1 + LOOP.fade();
    assertEquals(-3, db(y, at, 60) - db(x, at, 60), 0.01);
  }

  @Test
  void aSampleThatEndsWithItsLoopIsLeftAsItIs() {
    float[] x = java.util.Arrays.copyOf(tone(0), LOOP.end() + 1);
    float[] y = CrossFade.apply(Clip.of(RATE, x), LOOP).channel(0);
    assertEquals(x.length, y.length);
    assertEquals(
        db(x, LOOP.end() + 1 - 60 * PERIOD, 60), db(y, LOOP.end() + 1 - 60 * PERIOD, 60), 0.01);
  }
}
