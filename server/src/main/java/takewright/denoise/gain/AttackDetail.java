package takewright.denoise.gain;

import java.util.Arrays;
import takewright.denoise.band.SpreadFactors;
import takewright.denoise.band.StftSize;
import takewright.denoise.band.ThirdOctaves;
import takewright.dsp.Fft;

/**
 * Refines the first tenth of a second of a note with frames of an eighth of the length.
 *
 * <p>A long frame holds an attack and much noise before and after it, and weighs all of that with
 * one gain; above one or two kilohertz, where an attack is brief, more noise is then let in than is
 * taken out. Short frames win 1 to 2 dB there within the first 60 ms and lose below and later,
 * where partials want the long ones; so they take over above, and hand over as the note goes on.
 * Below they take over only where the long frames have lost power that stands well above the noise,
 * as of the thump of a mallet; and so they do at all pitches where a note begins while another
 * rings on, whose partials want the long ones.
 */
final class AttackDetail {
  /**
   * From the attack on, only the short frames count for this long, in seconds; then less and less.
   */
  private static final double ALONE_S = 0.04;

  private static final double UNTIL_S = 0.12;

  /** Below only the long frames count, above only the short ones, in hertz. */
  private static final double LOW_HZ = 1000;

  private static final double HIGH_HZ = 2000;

  /**
   * Power of an attack over what is left of it, up to which the long frames have kept it, and from
   * which on they have lost some. A smaller difference than 0.1 dB lets in noise for nothing.
   */
  private static final float KEPT = 1.03f;

  private static final float LOST = 1.1f;

  /** Factor by which power must stand higher to be an attack's where another note rings on. */
  private static final float BESIDE = 2;

  /** Frames that the estimator needs before the first requested one. */
  private static final int BEFORE = 8;

  private final int size;
  private final int hop;
  private final double sampleRate;
  private final float[] window;
  private final float scale;
  private final float[] inverseNoise;
  private final float[] share;
  private final float[] taken;
  private final int lowBins;

  /** How much higher than over even noise an attack must stand, by bin. */
  private final float[] spread;

  private final GainEstimator estimator;
  private final float[] ratios;
  private final float[] gains;
  private final float[] single;

  /** Spectra of the input and of the result, by channel. */
  private final float[][] before;

  private final float[][] after;

  /**
   * @param inverseNoise one over the noise power of the bins of a short frame, all channels
   *     together; what they hold when an attack is put in counts
   * @param spreadFactors how high the room's own noise reaches, by bands of long frames
   */
  AttackDetail(
      float[] inverseNoise,
      double sampleRate,
      float floor,
      SpreadFactors spreadFactors,
      ThirdOctaves bands,
      int channels) {
    this.inverseNoise = inverseNoise;
    this.sampleRate = sampleRate;
    estimator =
        new GainEstimator(inverseNoise.length, floor, spreadFactors, bands, AttackFinder.SHORTER);
    int bins = inverseNoise.length;
    size = 2 * (bins - 1);
    hop = StftSize.hop(size);
    window = StftSize.window(size);
    scale = 1 / StftSize.SUM;
    share = new float[bins];
    taken = new float[bins];
    spread = new float[bins];
    lowBins = Math.min(bins - 2, (int) (HIGH_HZ * size / sampleRate) + 1);
    for (int k = 0; k < bins; k++) {
      // A note is known to begin here, so half as many dB are enough, as they are beside a note.
      spread[k] = (float) Math.sqrt(spreadFactors.largest(bands.of(k * AttackFinder.SHORTER)));
      double hz = k * sampleRate / size;
      share[k] = (float) Math.max(0, Math.min(1, (hz - LOW_HZ) / (HIGH_HZ - LOW_HZ)));
    }
    ratios = new float[bins];
    gains = new float[bins];
    single = new float[bins];
    before = new float[channels][size];
    after = new float[channels][size];
  }

  /** Frames of the result after an attack that are read and changed. */
  static int reach(int sampleRate) {
    return (int) (UNTIL_S * sampleRate) + StftSize.size(sampleRate) / AttackFinder.SHORTER;
  }

  /**
   * Adds the attack's detail to a result.
   *
   * @param input samples by channel; frame n stands at n modulo the length, a power of two
   * @param result the same for the result so far
   * @param attack the frame at which the note begins
   * @param ringing whether it begins while another sounds: then only what is lost is put back
   */
  void add(float[][] input, float[][] result, long attack, boolean ringing) {
    Fft fft = Fft.of(size);
    estimator.reset();
    int last = (int) (UNTIL_S * sampleRate / hop);
    long first = attack - size / 2;
    float[][] original = new float[result.length][];
    for (int c = 0; c < result.length; c++) {
      original[c] = copy(result[c], first, last * hop + window.length);
    }
    for (int j = -BEFORE; j <= last + GainEstimator.LATENCY; j++) {
      long start = first + (long) j * hop;
      measure(fft, input, start);
      estimator.next(ratios, gains);
      int at = j - GainEstimator.LATENCY;
      if (at >= 0) {
        double seconds = at * hop / sampleRate;
        double fade = (UNTIL_S - seconds) / (UNTIL_S - ALONE_S);
        for (int c = 0; c < result.length; c++) {
          read(input[c], first + (long) at * hop, before[c]);
          readAfter(original[c], at * hop, after[c]);
          fft.forward(before[c]);
          fft.forward(after[c]);
        }
        takeOver(ringing);
        for (int c = 0; c < result.length; c++) {
          change(fft, before[c], after[c], (float) Math.min(1, fade));
          write(after[c], result[c], first + (long) at * hop);
        }
      }
    }
  }

  // The steps are methods of their own: with their loops in one, the JIT compiled all of it anew
  // for
  // each of them.

  private static float[] copy(float[] ring, long first, int count) {
    float[] copy = new float[count];
    for (int i = 0; i < count; i++) {
      copy[i] = ring[(int) (first + i) & ring.length - 1];
    }
    return copy;
  }

  /** The power over the noise of a frame of the input. */
  private void measure(Fft fft, float[][] input, long start) {
    Arrays.fill(ratios, 0);
    for (float[] x : input) {
      read(x, start, before[0]);
      fft.forward(before[0]);
      fft.power(before[0], single);
      for (int k = 0; k < ratios.length; k++) {
        ratios[k] += single[k] * inverseNoise[k];
      }
    }
  }

  private void readAfter(float[] original, int at, float[] after) {
    for (int i = 0; i < window.length; i++) {
      after[i] = original[at + i] * window[i];
    }
    Arrays.fill(after, window.length, size, 0);
  }

  private void write(float[] after, float[] ring, long start) {
    for (int i = 0; i < window.length; i++) {
      ring[(int) (start + i) & ring.length - 1] += after[i] * window[i] * scale;
    }
  }

  /** Computes what to add to the result from the input and the result of a frame. */
  private void change(Fft fft, float[] before, float[] after, float weight) {
    for (int k = 1; k < share.length - 1; k++) {
      float w = weight * taken[k];
      after[2 * k] = w * (gains[k] * before[2 * k] - after[2 * k]);
      after[2 * k + 1] = w * (gains[k] * before[2 * k + 1] - after[2 * k + 1]);
    }
    int top = share.length - 1;
    after[0] = 0;
    after[1] = weight * taken[top] * (gains[top] * before[1] - after[1]);
    fft.inverse(after);
  }

  /** The share of the short frames, with what the long ones have lost of the attack. */
  private void takeOver(boolean ringing) {
    System.arraycopy(share, 0, taken, 0, share.length);
    if (ringing) {
      Arrays.fill(taken, 0);
    }
    for (int k = 1; k < (ringing ? share.length - 2 : lowBins); k++) {
      float clean = around(before, k) - 1;
      float missing = clean / Math.max(around(after, k), 1e-9f);
      float sure = PowerKeeper.sureness(clean / spread[k] / (ringing ? BESIDE : 1));
      taken[k] = Math.max(taken[k], sure * within((missing - KEPT) / (LOST - KEPT)));
    }
  }

  /**
   * Power over the noise of a bin and its neighbours; the lowest has only one, for bin 0 is real.
   */
  private float around(float[][] packed, int bin) {
    float sum = ratio(packed, bin) + ratio(packed, bin + 1);
    return bin == 1 ? sum / 2 : (sum + ratio(packed, bin - 1)) / 3;
  }

  /** Of all channels together, so that they stay in their places. */
  private float ratio(float[][] packed, int bin) {
    float sum = 0;
    for (float[] x : packed) {
      sum += x[2 * bin] * x[2 * bin] + x[2 * bin + 1] * x[2 * bin + 1];
    }
    return sum * inverseNoise[bin];
  }

  private static float within(float share) {
    return Math.max(0, Math.min(1, share));
  }

  private void read(float[] ring, long start, float[] out) {
    int mask = ring.length - 1;
    for (int i = 0; i < window.length; i++) {
      out[i] = ring[(int) (start + i) & mask] * window[i];
    }
    Arrays.fill(out, window.length, size, 0);
  }
}
