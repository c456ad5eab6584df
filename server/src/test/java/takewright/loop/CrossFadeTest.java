package takewright.loop;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Random;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.dsp.Biquad;

/**
 * What a cross-fade does to sounds of which it is known what should come out. That two uncorrelated
 * sounds need gains of equal power and two equal ones gains that add up to 1 is the cited paper's
 * premise (DAFx 2016).
 */
class CrossFadeTest {
  private static final int RATE = 48000;
  private static final int PERIOD = 120;
  private static final Loop LOOP = new Loop(100 * PERIOD, 300 * PERIOD - 1, 40 * PERIOD);

  private static float[] tone(double gain) {
    float[] x = new float[500 * PERIOD];
    for (int i = 0; i < x.length; i++) {
      double turn = 2 * Math.PI * i / PERIOD;
      x[i] =
          (float) (gain * (Math.sin(turn) + 0.5 * Math.sin(5 * turn) + 0.2 * Math.sin(13 * turn)));
    }
    return x;
  }

  @Property(tries = 20)
  void aSoundThatComesBackIsLeftAsItIs(@ForAll @IntRange(min = 3, max = 90) int fadePeriods) {
    float[] x = tone(0.2);
    Loop loop = new Loop(LOOP.start(), LOOP.end(), fadePeriods * PERIOD);
    float[] y = CrossFade.apply(Clip.of(RATE, x.clone()), loop).channel(0);
    assertArrayEquals(x, y, 2e-5f);
  }

  @Test
  void neitherThePartialsNorTheHissDipInTheMiddleOfAFade() {
    int tries = 60;
    int around = LOOP.fade() / 10;
    double[] hissBefore = new double[1];
    double[] hissIn = new double[2];
    double[] toneIn = new double[2];
    double toneBefore = 0;
    for (int seed = 0; seed < tries; seed++) {
      Random random = new Random(seed);
      float[] x = tone(0.2);
      for (int i = 0; i < x.length; i++) {
        x[i] += (float) (0.01 * random.nextGaussian());
      }
      float[] y = CrossFade.apply(Clip.of(RATE, x.clone()), LOOP).channel(0);
      float[] high = y.clone();
      Biquad.highPass(RATE, 8000, 0.707).process(high, 0, high.length);
      Biquad.highPass(RATE, 8000, 0.707).process(high, 0, high.length);
      int seam = LOOP.end() + 1;
      int[] middles = {seam - LOOP.fade() / 2, seam + LOOP.fade() / 2};
      hissBefore[0] += power(high, seam - 2 * LOOP.fade(), 2 * around);
      toneBefore += power(y, seam - 2 * LOOP.fade(), 2 * around);
      for (int m = 0; m < 2; m++) {
        hissIn[m] += power(high, middles[m] - around, 2 * around);
        toneIn[m] += power(y, middles[m] - around, 2 * around);
      }
    }
    for (int m = 0; m < 2; m++) {
      // Gains that add up to 1 would lose 3 dB of the hiss, gains of equal power would add 3 dB to
      // the tone.
      assertEquals(0, 10 * Math.log10(hissIn[m] / hissBefore[0]), 0.3, "hiss, dB");
      assertEquals(0, 10 * Math.log10(toneIn[m] / toneBefore), 0.1, "tone, dB");
    }
  }

  @Test
  void allMicrophonesAreFadedAtTheSameFramesAndTheInputIsLeftAlone() {
    Clip two = Clip.of(RATE, tone(0.2), tone(0.1));
    float before = two.channel(1)[LOOP.end()];
    Clip faded = CrossFade.apply(two, LOOP);
    assertEquals(before, two.channel(1)[LOOP.end()]);
    for (int i = 0; i < faded.frames(); i++) {
      assertEquals(faded.channel(0)[i], 2 * faded.channel(1)[i], 1e-5);
    }
  }

  @Test
  void aSampleThatEndsSoonBehindTheLoopHasAShorterWayBack() {
    float[] x = tone(0.2);
    int left = 10 * PERIOD;
    float[] cut = java.util.Arrays.copyOf(x, LOOP.end() + 1 + left);
    float[] y = CrossFade.apply(Clip.of(RATE, cut), LOOP).channel(0);
    assertEquals(cut.length, y.length);
    assertEquals(cut[cut.length - 1], y[y.length - 1], 1e-3);
  }

  private static double power(float[] x, int from, int count) {
    double sum = 0;
    for (int i = from; i < from + count; i++) {
      sum += (double) x[i] * x[i];
    }
    return sum / count;
  }
}
