package takewright.segment;

import java.util.Arrays;
import takewright.dsp.Fft;
import takewright.dsp.Fir;
import takewright.dsp.Windows;

/**
 * The moment a sound sets in, to the millisecond.
 *
 * <p>The columns of the segmenter find an onset to within a window. Here the samples around it are
 * looked at, through a filter that lets pass what the sound has and the room has not, and their
 * power is compared with the room's just before.
 *
 * <p>An onset is where the sound first comes within 40 dB of its peak: what is softer is the hand
 * going to the string. Where the room hides that, the rise that can be seen is drawn on downwards.
 */
final class Onset {
  /** Length of the sliding mean, in seconds: the time resolution where the room hides nothing. */
  private static final double FAST_S = 0.001;

  /** Rise of it over the room that shows a sound, as a power ratio (7 dB). */
  private static final double FAST_RISE = 5;

  /** Length of the mean where it does, in seconds: longer, to see further down. */
  private static final double SLOW_S = 0.006;

  /** Rise of that over the room that shows a sound, as a power ratio (4 dB). */
  private static final double SLOW_RISE = 2.5;

  /** Half length of the filter, in seconds: it may smear an attack by no more than it is worth. */
  private static final double FILTER_S = 0.0015;

  /** Length of sound that the filter is made for, in seconds from the anchor on. */
  private static final double SOUND_S = 0.15;

  /** Dips shorter than this, in seconds, do not end the way back: half a period of low notes. */
  private static final double BRIDGE_S = 0.012;

  /** An onset lies this far below the peak, in dB. */
  private static final double BELOW_PEAK_DB = 40;

  /** A sample this far above the room's RMS is none of the room's: 4.5 sigma, 1 in 150,000. */
  private static final double NOISE_CREST = 4.5;

  /** How far above its first sign the rise is read, in dB: enough to tell it from a flutter. */
  private static final double READ_DB = 8;

  /**
   * Attacks are steeper at their bottom than where they are read; share of the distance in time.
   */
  private static final double STEEPER = 0.6;

  /** Slower rises than this, in dB a millisecond, are swells rather than attacks. */
  private static final double ATTACK_DB_MS = 0.3;

  /** A rise is drawn on by this much more, in dB, since cutting late harms and early does not. */
  private static final double SAFETY_DB = 2;

  /** And by no more than this, in seconds. */
  private static final double MOST_S = 0.15;

  /** Samples filtered in one go: few enough to stay in the first cache. */
  private static final int BLOCK = 512;

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
    if (quiet < 4 * SLOW_S * sampleRate) {
      // The sound before rings up to here: there is no room to compare with.
      return anchor;
    }
    float[] heard = convolve(audio, filter(audio, quiet, anchor, sampleRate));
    Rise fast = new Rise(heard, quiet, anchor, (int) (FAST_S * sampleRate), FAST_RISE);
    int sign = fast.firstSign((int) (BRIDGE_S * sampleRate));
    double loud = peak * Math.pow(10, -BELOW_PEAK_DB / 20);
    if (loud > NOISE_CREST * rms(audio, quiet)) {
      // Nothing is hidden: the samples themselves say it. The mean shows a sound half its length
      // too late at most.
      return firstAbove(audio, (float) loud, sign - (int) (FAST_S * sampleRate), anchor);
    }
    double target = fast.most() * softer(audio, anchor, peak) * Math.pow(10, -BELOW_PEAK_DB / 10);
    if (target >= fast.seen()) {
      return Math.min(anchor, fast.reaches(sign, target));
    }
    Rise slow = new Rise(heard, quiet, anchor, (int) (SLOW_S * sampleRate), SLOW_RISE);
    sign = slow.firstSign((int) (BRIDGE_S * sampleRate));
    double hidden = Math.max(0, 10 * Math.log10(slow.seen() / target));
    double slope = slow.slope(sign);
    double share = slope * 0.001 * sampleRate > ATTACK_DB_MS ? STEEPER : 1;
    double before = (share * hidden + SAFETY_DB) / slope;
    return (int) Math.max(0, sign - Math.min(MOST_S * sampleRate, before));
  }

  private static int firstAbove(float[] audio, float limit, int from, int to) {
    int at = Math.max(0, from);
    while (at < to && Math.abs(audio[at]) <= limit) {
      at++;
    }
    return at;
  }

  private static double rms(float[] audio, int to) {
    double sum = 0;
    for (int i = 0; i < to; i++) {
      sum += (double) audio[i] * audio[i];
    }
    return Math.sqrt(sum / to);
  }

  /** How much stronger the whole sound's peak is than that of the samples at hand, as a power. */
  private static double softer(float[] audio, int anchor, float peak) {
    float here = 0;
    for (int i = anchor; i < audio.length; i++) {
      here = Math.max(here, Math.abs(audio[i]));
    }
    double more = here > 0 ? Math.max(1, peak / here) : 1;
    return more * more;
  }

  /** The power of the filtered samples over time, and the room's share in it. */
  private static final class Rise {
    private final double[] power;
    private final double room;
    private final double limit;
    private final int anchor;

    /**
     * @param mean samples that the power is averaged over, around each
     * @param rise ratio to the room at which a sound is there
     */
    Rise(float[] heard, int quiet, int anchor, int mean, double rise) {
      this.anchor = anchor;
      power = slidingPower(heard, Math.max(1, mean));
      double[] sorted = Arrays.copyOfRange(power, mean, quiet - mean);
      Arrays.sort(sorted);
      room = Math.max(1e-14, sorted[sorted.length / 2]);
      limit = room * rise;
    }

    /** Power that the sound itself has where it is first seen. */
    double seen() {
      return limit - room;
    }

    /** Its most from the anchor on. */
    double most() {
      double most = 0;
      for (int i = anchor; i < power.length; i++) {
        most = Math.max(most, power[i]);
      }
      return most;
    }

    /** From the anchor back, as long as the sound is there with no more than short dips. */
    int firstSign(int bridge) {
      int first = anchor;
      for (int i = anchor; i >= 0 && first - i <= bridge; i--) {
        if (power[i] > limit) {
          first = i;
        }
      }
      return first;
    }

    /** The first place from one on at which the sound has a power. */
    int reaches(int from, double target) {
      int at = from;
      while (at < anchor && power[at] - room < target) {
        at++;
      }
      return at;
    }

    /** How fast the sound rises from a place on, in dB a sample. */
    double slope(int from) {
      double high = limit * Math.pow(10, READ_DB / 10);
      int at = from;
      while (at < power.length - 1 && power[at] < high) {
        at++;
      }
      return READ_DB / Math.max(1, at - from);
    }
  }

  /** A short filter of linear phase that lets pass where the sound is stronger than the room. */
  private static double[] filter(float[] audio, int quiet, int anchor, int sampleRate) {
    int half = (int) (FILTER_S * sampleRate);
    int length = Integer.highestOneBit((int) (SOUND_S * sampleRate));
    length = Math.min(length, Integer.highestOneBit(quiet));
    Fft fft = Fft.of(length);
    int reach = Math.max(1, (int) (length / (4 * FILTER_S * sampleRate)));
    float[] sound = spectrum(audio, fft, Math.min(anchor, audio.length - length), reach);
    float[] tone = spectrum(audio, fft, quiet - length, reach);
    float[] response = new float[length];
    for (int k = 0; k < length / 2; k++) {
      double more = Math.max(0, sound[k] - tone[k]);
      // The matched filter's magnitude: root of the signal over the noise.
      response[2 * k] = (float) (Math.sqrt(more) / (tone[k] + 1e-20));
    }
    fft.inverse(response);
    double[] taps = new double[2 * half + 1];
    float[] shape = Windows.hann(2 * half + 2);
    for (int i = -half; i <= half; i++) {
      taps[i + half] = response[(i + length) % length] * (double) shape[i + half + 1];
    }
    double most = 0;
    for (double tap : taps) {
      most = Math.max(most, Math.abs(tap));
    }
    for (int i = 0; i < taps.length; i++) {
      taps[i] = most > 0 ? taps[i] / most : (i == half ? 1 : 0);
    }
    return taps;
  }

  /** Power by bin, smoothed over the bins that so short a filter cannot tell apart. */
  private static float[] spectrum(float[] audio, Fft fft, int from, int reach) {
    int length = fft.size();
    float[] work = new float[length];
    float[] shape = Windows.hann(length);
    for (int i = 0; i < length; i++) {
      work[i] = audio[from + i] * shape[i];
    }
    fft.forward(work);
    float[] power = new float[length / 2 + 1];
    fft.power(work, power);
    float[] smooth = new float[length / 2 + 1];
    for (int k = 0; k < smooth.length; k++) {
      int low = Math.max(0, k - reach);
      int high = Math.min(smooth.length - 1, k + reach);
      float sum = 0;
      for (int j = low; j <= high; j++) {
        sum += power[j];
      }
      smooth[k] = sum / (high - low + 1);
    }
    return smooth;
  }

  /** The samples filtered; nothing lies beyond their ends. */
  private static float[] convolve(float[] x, double[] taps) {
    int half = taps.length / 2;
    // The filter runs on whole fours of taps; those added are 0.
    float[][] phase = new float[1][(taps.length + 3) / 4 * 4];
    for (int k = 0; k < taps.length; k++) {
      phase[0][k] = (float) taps[k];
    }
    float[] padded = new float[half + x.length + phase[0].length];
    System.arraycopy(x, 0, padded, half, x.length);
    float[] out = new float[x.length];
    float[][] block = new float[1][BLOCK];
    Fir fir = new Fir(phase, BLOCK);
    for (int done = 0; done < x.length; done += BLOCK) {
      int n = Math.min(BLOCK, x.length - done);
      fir.apply(padded, done, block, n);
      System.arraycopy(block[0], 0, out, done, n);
    }
    return out;
  }

  /** Mean square over {@code mean} samples around every sample; nothing lies beyond the ends. */
  private static double[] slidingPower(float[] audio, int mean) {
    double[] power = new double[audio.length];
    double sum = 0;
    int half = mean / 2;
    for (int i = 0; i < audio.length + half; i++) {
      if (i < audio.length) {
        sum += (double) audio[i] * audio[i];
      }
      if (i >= mean) {
        sum -= (double) audio[i - mean] * audio[i - mean];
      }
      if (i >= half) {
        power[i - half] = Math.max(0, sum) / mean;
      }
    }
    return power;
  }
}
