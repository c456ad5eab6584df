package takewright.segment;

/**
 * The moment a sound sets in, to the millisecond.
 *
 * <p>The columns of the segmenter find an onset to within a hop. Here the samples around it are looked
 * at: differentiated, since rooms are loud at low frequencies and attacks at high ones, and compared,
 * millisecond by millisecond, with the room just before. An onset also counts only from 40 dB below the
 * sound's peak on: what is softer is the hand going to the string.
 */
final class Onset {
  /** Length of the sliding mean, in seconds: the time resolution. */
  private static final double MEAN_S = 0.001;

  /** Rise of the sliding mean over the room that shows a sound, as a power ratio (8 dB). */
  private static final double RISE = 6.3;

  /** Dips shorter than this, in seconds, do not end the way back: a period at the lowest notes. */
  private static final double BRIDGE_S = 0.012;

  /** An onset lies at most this far below the peak, as an amplitude ratio (40 dB). */
  private static final double BELOW_PEAK = 0.01;

  /** Peaks of noise lie about this far above its RMS, as an amplitude ratio (4 sigma). */
  private static final double NOISE_CREST = 4;

  private Onset() {}

  /**
   * Finds the onset in a stretch of samples.
   *
   * @param audio samples around the onset, full scale at ±1
   * @param quiet samples at the start that are room tone for certain
   * @param anchor a sample at which the sound is there for certain
   * @param peak largest absolute sample of the whole sound
   * @param sampleRate frames a second
   * @return index of the sample at which the sound sets in, not after {@code anchor}
   */
  static int find(float[] audio, int quiet, int anchor, float peak, int sampleRate) {
    int mean = Math.max(1, (int) (MEAN_S * sampleRate));
    double[] power = sliding(audio, mean);
    double[] sorted = java.util.Arrays.copyOfRange(power, mean, Math.max(mean + 1, quiet));
    java.util.Arrays.sort(sorted);
    double room = sorted[sorted.length / 2];
    double limit = Math.max(1e-14, room * RISE);

    // From the anchor back, as long as the sound is there with no more than short dips.
    int bridge = (int) (BRIDGE_S * sampleRate);
    int onset = anchor;
    for (int i = anchor; i >= mean && onset - i <= bridge; i--) {
      if (power[i] > limit) {
        onset = i;
      }
    }
    // The mean looks back over its own length; its first rise may come from its last sample alone.
    int risen = onset;

    double roomAmplitude = rms(audio, 0, quiet);
    if (BELOW_PEAK * peak > NOISE_CREST * roomAmplitude) {
      for (int i = Math.max(0, risen - mean); i <= anchor; i++) {
        if (Math.abs(audio[i]) > BELOW_PEAK * peak) {
          return Math.min(anchor, i);
        }
      }
    }
    return risen;
  }

  /** Mean square of the differences over the last {@code mean} samples, at every sample. */
  private static double[] sliding(float[] audio, int mean) {
    double[] power = new double[audio.length];
    double sum = 0;
    for (int i = 1; i < audio.length; i++) {
      double in = audio[i] - audio[i - 1];
      sum += in * in;
      if (i > mean) {
        double out = audio[i - mean] - audio[i - mean - 1];
        sum -= out * out;
      }
      power[i] = Math.max(0, sum / mean);
    }
    return power;
  }

  private static double rms(float[] audio, int from, int to) {
    double sum = 0;
    for (int i = from; i < to; i++) {
      sum += (double) audio[i] * audio[i];
    }
    return Math.sqrt(sum / Math.max(1, to - from));
  }
}
