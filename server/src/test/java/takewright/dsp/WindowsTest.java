package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import org.junit.jupiter.api.Test;

class WindowsTest {
  private static final int N = 1024;

  /** Equivalent noise bandwidths in bins, from Harris (1978), table 1. */
  @Test
  void noiseBandwidthsAreThePublishedOnes() {
    assertEquals(1.50, noiseBandwidth(Windows.hann(N)), 0.005);
    assertEquals(1.36, noiseBandwidth(Windows.hamming(N)), 0.005);
    assertEquals(2.00, noiseBandwidth(Windows.blackmanHarris(N)), 0.006);
  }

  @Test
  void shiftedHannWindowsAddUpToAConstant() {
    float[] hann = Windows.hann(N);
    float[] root = Windows.rootHann(N);
    for (int i = 0; i < N / 4; i++) {
      double sum = 0;
      double squares = 0;
      for (int k = 0; k < 4; k++) {
        sum += hann[i + k * N / 4];
        squares += Math.pow(root[i + k * N / 4], 2);
      }
      assertEquals(2, sum, 1e-6);
      assertEquals(2, squares, 1e-6);
    }
  }

  @Test
  void anEmptyWindowIsRefused() {
    assertThrows(IllegalArgumentException.class, () -> Windows.hann(0));
  }

  @Test
  void decibelsOfWellKnownRatios() {
    assertEquals(6.0206, Decibels.fromAmplitude(2), 1e-4);
    assertEquals(3.0103, Decibels.fromPower(2), 1e-4);
    assertEquals(0.1, Decibels.toAmplitude(-20), 1e-12);
    assertEquals(0.01, Decibels.toPower(-20), 1e-12);
    assertEquals(Double.NEGATIVE_INFINITY, Decibels.fromAmplitude(0));
    assertEquals(0, Decibels.toAmplitude(Double.NEGATIVE_INFINITY));
  }

  private static double noiseBandwidth(float[] w) {
    return w.length * Windows.power(w) / Math.pow(Windows.sum(w), 2);
  }
}
