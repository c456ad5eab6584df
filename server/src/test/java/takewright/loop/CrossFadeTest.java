package takewright.loop;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.SplittableRandom;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.DoubleRange;
import takewright.audio.Clip;

/**
 * A cross-fade keeps the power even whether its two sides are alike or not: what Fink, Holters and
 * Zoelzer's signal-matched gains are for (DAFx 2016). Equal gains would let noise fall by 3 dB in
 * the middle, equal powers would let a tone rise by as much.
 */
class CrossFadeTest {
  private static final int FADE = 24_000;
  private static final Loop LOOP = new Loop(48_000, 143_999, FADE);

  /** Noise and a tone whose period fits the loop, in any mixture. */
  @Property(tries = 20)
  void theLevelStaysEven(@ForAll @DoubleRange(min = 0, max = 1) double tone, @ForAll long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    float[] x = new float[LOOP.end() + 1];
    for (int i = 0; i < x.length; i++) {
      double noise = Math.sqrt(3) * (2 * random.nextDouble() - 1);
      double sine = Math.sqrt(2) * Math.sin(2 * Math.PI * i / 96);
      x[i] = (float) (0.1 * (Math.sqrt(tone) * sine + Math.sqrt(1 - tone) * noise));
    }
    float[] faded = CrossFade.apply(Clip.of(48_000, x), LOOP).channel(0);
    int part = FADE / 8;
    for (int at = LOOP.end() + 1 - FADE; at < LOOP.end(); at += part) {
      // The mean square of 3000 samples of noise spreads by sqrt(0.8 / 3000), 0.07 dB; five of it.
      assertEquals(-20, level(faded, at, part), 0.4, "in the fade at " + (at - LOOP.end()));
    }
  }

  private static double level(float[] x, int from, int count) {
    double sum = 0;
    for (int i = from; i < from + count; i++) {
      sum += (double) x[i] * x[i];
    }
    return 10 * Math.log10(sum / count);
  }
}
