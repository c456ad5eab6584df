package takewright.demo;

import java.util.SplittableRandom;
import takewright.demo.BowedString.Bowing;
import takewright.demo.Struck.Mode;
import takewright.dsp.Biquad;

/**
 * The wendrel, an instrument that does not exist: small, bowed, with gut-like strings and a thin
 * body. A string is heard through its body by one or two microphones.
 */
final class Wendrel {
  /** Frames per second of what the microphones hear. */
  static final int RATE = 48_000;

  /** Resonances of the body: frequency in hertz, quality, gain in dB. Invented, like the rest. */
  private static final double[][] BODY = {
    {236, 8, 7}, // the air inside
    {417, 12, 8},
    {508, 13, 6},
    {689, 9, -5},
    {873, 10, 5},
    {1163, 8, -4},
    {1490, 6, 4},
    {2380, 1.4, 7}, // the bridge rocking
    {3900, 4, -4}
  };

  /** The same body when tapped with a knuckle, the strings held still. */
  private static final Mode[] TAPPED = {
    new Mode(236, 0.22, 1.0),
    new Mode(417, 0.16, 0.9),
    new Mode(508, 0.14, 0.7),
    new Mode(689, 0.10, 0.5),
    new Mode(873, 0.09, 0.6),
    new Mode(1163, 0.06, 0.5),
    new Mode(1490, 0.05, 0.5),
    new Mode(2380, 0.03, 0.5)
  };

  /** The second microphone hangs further round: other gains of the body, and 0.25 ms later. */
  private static final double SECOND_SHARE = 0.6;

  private static final int SECOND_LATER = 12;

  /** Room for the ring after the bow has left, in times of 60 dB. */
  private static final double RINGS = 1.6;

  private Wendrel() {}

  /** A bowed note, in no unit, from the moment the bow touches. */
  static float[][] note(Bowing bowing, int microphones, SplittableRandom random) {
    double seconds = bowing.bowS() + RINGS * bowing.ringS();
    float[] string = halve(BowedString.play(bowing, seconds, random));
    float[][] heard = new float[microphones][];
    for (int m = 0; m < microphones; m++) {
      heard[m] = body(string, m == 0 ? 1 : SECOND_SHARE, m * SECOND_LATER);
    }
    return heard;
  }

  /** A knuckle on the body, in no unit. */
  static float[][] tap(SplittableRandom random) {
    double contact = 0.0005 + 0.0004 * random.nextDouble();
    return new float[][] {Struck.blow(TAPPED, contact, 0.5, 0.5, RATE, random)};
  }

  /** From the string's sample rate to the microphones': every second sample of a low pass. */
  private static float[] halve(float[] string) {
    // Fourth-order Butterworth at 18 kHz; the string itself has little left up there.
    Biquad.lowPass(BowedString.RATE, 18_000, 0.5412).process(string, 0, string.length);
    Biquad.lowPass(BowedString.RATE, 18_000, 1.3066).process(string, 0, string.length);
    float[] half = new float[string.length / 2];
    for (int i = 0; i < half.length; i++) {
      half[i] = string[2 * i];
    }
    return half;
  }

  private static float[] body(float[] string, double share, int later) {
    float[] out = new float[string.length];
    System.arraycopy(string, 0, out, later, out.length - later);
    // A small body radiates little below its air resonance, and a thin one little above 6 kHz.
    Biquad.highPass(RATE, 170, 0.8).process(out, 0, out.length);
    for (double[] mode : BODY) {
      Biquad.peaking(RATE, mode[0], mode[1], mode[2] * share).process(out, 0, out.length);
    }
    Biquad.lowPass(RATE, 6500, 0.6).process(out, 0, out.length);
    return out;
  }
}
