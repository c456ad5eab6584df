package takewright.demo;

import java.util.SplittableRandom;
import takewright.dsp.Biquad;

/**
 * A thing that is struck: a bank of resonances, set ringing by a short push (modal synthesis; J.-M.
 * Adrien, "The missing link: modal synthesis", in "Representations of Musical Signals", MIT Press
 * 1991).
 */
final class Struck {
  /** Spread of the modes' strengths, since no two blows fall on one spot: 1 ± this. */
  private static final double SPOT = 0.6;

  private Struck() {}

  /**
   * A resonance.
   *
   * @param hz frequency in hertz
   * @param decayS time in which it falls by 60 dB, in seconds
   * @param gain its strength
   */
  record Mode(double hz, double decayS, double gain) {}

  /**
   * One blow.
   *
   * @param contactS how long the push lasts, in seconds: shorter is brighter
   * @param roughness share of noise in the push, 0 to 1
   * @param seconds length of the result
   * @return samples in no unit
   */
  static float[] blow(
      Mode[] modes,
      double contactS,
      double roughness,
      double seconds,
      int sampleRate,
      SplittableRandom random) {
    float[] out = new float[(int) (seconds * sampleRate)];
    double[] push = new double[(int) (contactS * sampleRate)];
    for (int i = 0; i < push.length; i++) {
      double swell = StrictMath.sin(Math.PI * (i + 1) / (push.length + 1));
      push[i] = swell * (1 - roughness + roughness * (random.nextDouble() * 2 - 1));
    }
    for (Mode mode : modes) {
      double w = 2 * Math.PI * mode.hz / sampleRate;
      double r = StrictMath.pow(10, -3 / (mode.decayS * sampleRate));
      double gain = mode.gain * (1 + SPOT * (random.nextDouble() * 2 - 1)) * StrictMath.sin(w);
      Biquad ring = Biquad.of(gain, 0, 0, 1, -2 * r * StrictMath.cos(w), r * r);
      for (int i = 0; i < out.length; i++) {
        out[i] += (float) ring.process(i < push.length ? push[i] : 0);
      }
    }
    return out;
  }
}
