package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.SplittableRandom;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;

class BlockVectorTest {
  private static final int MAX_LENGTH = 1200;

  private final float[] a = noise(1, 2000);
  private final float[] b = noise(2, 900);

  private static float[] noise(long seed, int count) {
    SplittableRandom random = new SplittableRandom(seed);
    float[] x = new float[count];
    for (int i = 0; i < count; i++) {
      x[i] = (float) (random.nextDouble() - 0.5);
    }
    return x;
  }

  /** The definition, in doubles, with silence around both. */
  private double expected(int atA, int atB, int count) {
    double sum = 0;
    for (int i = 0; i < count; i++) {
      sum += (double) sample(a, atA + i) * sample(b, atB + i);
    }
    return sum;
  }

  private static float sample(float[] x, int i) {
    return i < 0 || i >= x.length ? 0 : x[i];
  }

  @Property(tries = 300)
  void isTheSumOfProductsAlsoOverTheEndsOfTheAudio(
      @ForAll @IntRange(min = -1500, max = 2500) int atA,
      @ForAll @IntRange(min = -1500, max = 1500) int atB,
      @ForAll @IntRange(min = 0, max = MAX_LENGTH) int first,
      @ForAll @IntRange(min = 0, max = MAX_LENGTH) int second) {
    BlockVector one = new BlockVector(MAX_LENGTH);
    BlockVector other = new BlockVector(MAX_LENGTH);
    // What was in there before must be gone.
    one.load(a, 3, MAX_LENGTH);
    other.load(a, 5, MAX_LENGTH);
    one.load(a, atA, first);
    other.load(b, atB, second);
    // Rounding: 1200 products of at most a quarter, in floats of 24 bits.
    assertEquals(expected(atA, atB, Math.min(first, second)), one.dot(other), 1e-4);
    // To the bit, so that it does not matter to a sample which of the two is called.
    assertEquals(one.dot(other), one.dot(b, atB, second));
  }
}
