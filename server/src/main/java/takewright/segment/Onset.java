package takewright.segment;

import java.util.Arrays;
import takewright.dsp.LinearPrediction;

/**
 * The moment a sound sets in, to the millisecond.
 *
 * <p>The columns of the segmenter find an onset to within a window. Here the samples around it are
 * looked at: filtered so that the room just before is white, since rooms are loud at low
 * frequencies and would hide an attack, and compared with that room millisecond by millisecond. An
 * onset also counts only from 40 dB below the sound's peak on: what is softer is the hand going to
 * the string.
 */
final class Onset {
  /** Length of the sliding mean, in seconds: the time resolution. */
  private static final double MEAN_S = 0.001;

  /** Rise of the sliding mean over the room that shows a sound, as a power ratio (7 dB). */
  private static final double RISE = 5;

  /**
   * Dips shorter than this, in seconds, do not end the way back: half a period at the lowest notes.
   */
  private static final double BRIDGE_S = 0.012;

  /** An onset lies at most this far below the peak, as an amplitude ratio (40 dB). */
  private static final double BELOW_PEAK = 0.01;

  /** A sample this far above the room's RMS is none of the room's: 4.5 sigma, 1 in 150,000. */
  private static final double NOISE_CREST = 4.5;

  /** Order of the whitening filter: enough for the slope of a room and the bend of its hum. */
  private static final int ORDER = 16;

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
    if (quiet < 4 * mean) {
      // The sound before rings up to here: there is no room to compare with.
      return anchor;
    }
    float[] white =
        LinearPrediction.filter(audio, LinearPrediction.whitening(audio, 0, quiet, ORDER));
    double[] power = slidingPower(white, mean);
    double[] sorted = Arrays.copyOfRange(power, mean + ORDER, quiet);
    Arrays.sort(sorted);
    double limit = Math.max(1e-14, sorted[sorted.length / 2] * RISE);
    double crest = NOISE_CREST * rms(audio, quiet);

    // From the anchor back, as long as the sound is there with no more than short dips.
    int bridge = (int) (BRIDGE_S * sampleRate);
    int onset = anchor;
    for (int i = anchor; i >= mean && onset - i <= bridge; i--) {
      if (power[i] > limit || Math.abs(audio[i]) > crest) {
        onset = i;
      }
    }
    if (BELOW_PEAK * peak > crest) {
      for (int i = onset; i <= anchor; i++) {
        if (Math.abs(audio[i]) > BELOW_PEAK * peak) {
          return i;
        }
      }
    }
    return onset;
  }

  /** Mean square over the last {@code mean} samples, at every sample. */
  private static double[] slidingPower(float[] audio, int mean) {
    double[] power = new double[audio.length];
    double sum = 0;
    for (int i = 0; i < audio.length; i++) {
      sum += (double) audio[i] * audio[i];
      if (i >= mean) {
        sum -= (double) audio[i - mean] * audio[i - mean];
      }
      power[i] = sum / mean;
    }
    return power;
  }

  private static double rms(float[] audio, int to) {
    double sum = 0;
    for (int i = 0; i < to; i++) {
      sum += (double) audio[i] * audio[i];
    }
    return Math.sqrt(sum / Math.max(1, to));
  }
}
