package takewright.dsp;

import java.math.BigInteger;

/**
 * Artificial reverberation: delay lines that feed back into each other through an orthogonal
 * matrix, each with a low-pass that sets the decay time (J.-M. Jot and A. Chaigne, "Digital delay
 * networks for designing artificial reverberators", 90th AES Convention, 1991). The matrix is
 * Hadamard's: every line reaches every other alike, for additions only.
 *
 * <p>It is stable whatever the times: the matrix keeps the energy, and the low-passes lose some at
 * every frequency. Two inputs, two outputs; the response from either input to either output has an
 * energy of about one half without damping, so that two channels come back as strong as they went
 * in. Not for use by several threads at once.
 */
public final class FeedbackDelayNetwork {
  /** Lines: sixteen make the echoes of a long decay dense enough not to be heard one by one. */
  private static final int LINES = 16;

  /** Minimum and maximum length of a line, in seconds, as in a hall of 8 to 27 m. */
  private static final double MIN_LINE_S = 0.023;

  private static final double MAX_LINE_S = 0.079;

  /** Shorter decays have shorter lines, so that several echoes fall into them. */
  private static final double FULL_SIZE_DECAY_S = 1.5;

  private static final double SMALLEST = 0.1;

  private final float[][] lines = new float[LINES][];
  private final int[] at = new int[LINES];

  /** Gain at 0 Hz, pole and state of each line's low-pass. */
  private final float[] gain = new float[LINES];

  private final float[] pole = new float[LINES];
  private final float[] state = new float[LINES];
  private final float[] mixed = new float[LINES];
  private final float outputGain;

  /**
   * A network at rest.
   *
   * @param sampleRate in hertz, 1000 or more
   * @param decayS time to die away by 60 dB at 0 Hz, in seconds, above 0
   * @param highShare share of that time at half the sample rate, above 0 up to 1
   */
  public FeedbackDelayNetwork(double sampleRate, double decayS, double highShare) {
    if (!(sampleRate >= 1000 && decayS > 0 && highShare > 0 && highShare <= 1)) {
      throw new IllegalArgumentException(
          "sample rate, decay or high share out of range: "
              + sampleRate
              + ", "
              + decayS
              + ", "
              + highShare);
    }
    double size = Math.max(SMALLEST, Math.min(1, decayS / FULL_SIZE_DECAY_S));
    double mean = 0;
    int before = 0;
    for (int i = 0; i < LINES; i++) {
      double seconds =
          size * MIN_LINE_S * Math.pow(MAX_LINE_S / MIN_LINE_S, (double) i / (LINES - 1));
      // Primes, so that echoes of two lines rarely coincide.
      int length = prime(Math.max(before + 1, (int) (seconds * sampleRate)));
      before = length;
      lines[i] = new float[length];
      mean += (double) length / LINES;
      double low = Math.pow(10, -3 * length / (sampleRate * decayS));
      double high = Math.pow(10, -3 * length / (sampleRate * decayS * highShare));
      double ratio = high / low;
      pole[i] = (float) ((1 - ratio) / (1 + ratio));
      gain[i] = (float) (low * (1 - pole[i]));
    }
    // What leaves the lines in their mean length is their energy then; over the decay, of which 60
    // dB are 6 ln 10, that adds up to this.
    outputGain = (float) Math.sqrt(6 * Math.log(10) * mean / (sampleRate * decayS));
  }

  private static int prime(int min) {
    return BigInteger.valueOf(min - 1L).nextProbablePrime().intValue();
  }

  /**
   * Processes two channels in place; the result is the reverberation alone.
   *
   * @param count number of samples from the start of each array
   */
  public void process(float[] left, float[] right, int count) {
    // Half of the lines take and give each channel.
    float in = (float) Math.sqrt(2.0 / LINES);
    for (int n = 0; n < count; n++) {
      float l = 0;
      float r = 0;
      for (int i = 0; i < LINES; i++) {
        float out = lines[i][at[i]];
        // Signs in pairs, so that the channels differ.
        float signed = (i & 2) == 0 ? out : -out;
        if ((i & 1) == 0) {
          l += signed;
        } else {
          r += signed;
        }
        float low = gain[i] * out + pole[i] * state[i];
        // Set to 0 below -400 dB: smaller numbers are slow, and inaudible.
        state[i] = Math.abs(low) < 1e-20f ? 0 : low;
        mixed[i] = state[i];
      }
      hadamard(mixed);
      for (int i = 0; i < LINES; i++) {
        float from = (i & 1) == 0 ? left[n] : right[n];
        lines[i][at[i]] = mixed[i] + in * ((i & 4) == 0 ? from : -from);
        at[i] = at[i] + 1 == lines[i].length ? 0 : at[i] + 1;
      }
      left[n] = outputGain * l;
      right[n] = outputGain * r;
    }
  }

  /** The orthonormal Hadamard transform, in place. */
  private static void hadamard(float[] x) {
    for (int half = 1; half < LINES; half *= 2) {
      for (int i = 0; i < LINES; i += 2 * half) {
        for (int j = i; j < i + half; j++) {
          float a = x[j];
          float b = x[j + half];
          x[j] = a + b;
          x[j + half] = a - b;
        }
      }
    }
    for (int i = 0; i < LINES; i++) {
      x[i] *= 0.25f;
    }
  }
}
