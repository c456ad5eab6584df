package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.DoubleRange;
import org.junit.jupiter.api.Test;

/** Intervals as in Barbour, "Tuning and Temperament", 1951, and the laws of a logarithm. */
class CentsTest {
  @Test
  void intervalsHaveTheirTextbookSizes() {
    assertEquals(1200, Cents.above(880, 440), 1e-9);
    assertEquals(701.955, Cents.above(660, 440), 1e-3, "a pure fifth");
    assertEquals(386.314, Cents.above(550, 440), 1e-3, "a pure third");
    assertEquals(21.506, Cents.above(81, 80), 1e-3, "the syntonic comma");
    assertEquals(-100, Cents.above(440, 466.1637615), 1e-5, "a semitone down");
  }

  @Property
  void aRatioComesBack(@ForAll @DoubleRange(min = -6000, max = 6000) double cents) {
    assertEquals(cents, Cents.above(440 * Cents.toRatio(cents), 440), 1e-8);
    assertEquals(Math.abs(cents), Cents.apart(440, 440 * Cents.toRatio(cents)), 1e-8);
  }

  @Property
  void octavesAreTakenAway(@ForAll @DoubleRange(min = -6000, max = 6000) double cents) {
    double within = Cents.withinOctave(cents);
    assertTrue(within >= -600 && within <= 600);
    assertEquals(0, Math.sin(Math.PI * (cents - within) / 1200), 1e-9, "whole octaves");
  }
}
