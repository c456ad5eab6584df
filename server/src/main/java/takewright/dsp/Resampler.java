package takewright.dsp;

import java.util.Arrays;

/**
 * Changes the rate of audio by any ratio, also one that varies: band-limited interpolation with
 * linear phase, for a stream of any length in bounded memory.
 *
 * <p>Two stages, in the order the sound takes. Blocks are filtered by transforms (overlap-save): a
 * Kaiser-windowed sinc takes away whatever the slower of the two rates cannot hold, and the inverse
 * transform is of the size that leaves the band half of the spectrum at most. There a kernel of
 * eight taps, read from one table that all share, interpolates at any position. It is so short
 * since it is a bare Kaiser window and no low-pass: what it takes from the upper end of the band
 * the first stage adds beforehand, as is done for transforms at uneven places (A. Dutt and V.
 * Rokhlin, "Fast Fourier transforms for nonequispaced data", 1993; J. I. Jackson, C. H. Meyer, D.
 * G. Nishimura and A. Macovski, "Selection of a convolution function for Fourier inversion using
 * gridding", 1991).
 *
 * <p>Figures, by design (measured ones stand in the tests):
 *
 * <ul>
 *   <li>Stop band: 124 dB down from half the slower rate on; nothing folds, also for shifts up.
 *   <li>Pass band: to 20 kHz, but at least to 5/6 and at most to 20/22.05 of half the slower rate;
 *       ripple below 0.00001 dB.
 *   <li>Images of the kernel: 131 dB down at worst, in the middle of the transition.
 *   <li>Interpolation between table rows is linear: the error is (w / L)^2 / 8 for w radians a
 *       sample and L = 1024 rows a sample, so -131 dB at the end of the pass band.
 * </ul>
 *
 * <p>No delay: output frame 0 is input frame 0, and before the first and after the last frame there
 * is silence. Peaks between samples can come to stand on samples, so that the result may pass full
 * scale where the input did not. Samples must be finite. Not for use by several threads at once.
 */
public final class Resampler {
  /** Stop band of the low-pass in dB: 120 is asked for, and its first lobe stands out by some. */
  private static final double ATTENUATION = 128;

  /** Highest frequency that people hear, in hertz. */
  private static final double HEARING = 20_000;

  /** Shortest transform: 1024 to 8192 are equally fast, and short samples fill few of the long. */
  private static final int MIN_TRANSFORM = 2048;

  /** A transform is at least this many times as long as the low-pass, of which it loses one. */
  private static final int TRANSFORM_LENGTHS = 8;

  /** Frames around the low-pass for what undoing the kernel adds to its length. */
  private static final int UNDOING = 16;

  /** Taps of the interpolating kernel. */
  private static final int TAPS = 8;

  /**
   * Rows of the interpolating kernel's table a sample, as a power of two; for the error see above.
   */
  private static final int ROW_BITS = 10;

  private static final int ROWS = 1 << ROW_BITS;

  /** Bits of the share of the next row: the mantissa of a float. */
  private static final int SHARE_BITS = 23;

  /** Parts of a sample in which a place is counted. */
  private static final double PARTS = 1L << ROW_BITS + SHARE_BITS;

  /** The bits of 1.0 as a float. */
  private static final int ONE = 0x3f80_0000;

  /**
   * Shape of the interpolating kernel: a Kaiser window whose spectrum ends at 0.757 of the rate
   * between the stages, where the images of the middle of the transition lie.
   */
  private static final double BETA = 19;

  /** Row r, tap k: the kernel at k - (TAPS / 2 - 1) - r / ROWS; one row more, to interpolate to. */
  private static final float[] TABLE = kernelTable();

  /** Output frames interpolated in one go. */
  private static final int GO = 512;

  private final TimeMap map;
  private final double ratio;
  private final int channels;

  /** Samples between the stages for one input frame: 2, 1, 1/2, 1/4, ... */
  private final double factor;

  /** Frames transformed at once, and samples that come out. */
  private final int size;

  private final int sizeBetween;

  /** Frames at both ends of a transform that the filter spoils. */
  private final int spoilt;

  /** Gain by bin. */
  private final float[] gain;

  private final float[][] input;
  private int inputFill;
  private final float[] work;

  private final float[][] middle;
  private long middleStart;
  private int middleFill;

  /** Of the output frames of one go: place between the stages, first sample, row and share. */
  private final double[] places = new double[GO];

  private final int[] at = new int[GO];
  private final int[] row = new int[GO];
  private final float[] share = new float[GO];

  private long written;
  private long produced;
  private long total = Long.MAX_VALUE;

  /**
   * A resampler at the start of its stream.
   *
   * @param inputRate frames per second of the input, above 0
   * @param outputRate frames per second of the output, measured in the input's time: for a shift by
   *     c cents it is the output's sample rate / 2^(c / 1200). From 1/64 to 64 times {@code
   *     inputRate}
   * @param channels number of channels, at least 1
   */
  public Resampler(double inputRate, double outputRate, int channels) {
    this(inputRate, TimeMap.even(checked(inputRate, outputRate)), channels);
  }

  /**
   * A resampler whose steps may vary.
   *
   * @param inputRate frames per second of the input, above 0
   * @param map where output frames come from; its lowest ratio, which the low-pass is made for, is
   *     1/64 to 64
   * @param channels number of channels, at least 1
   */
  public Resampler(double inputRate, TimeMap map, int channels) {
    this.map = map;
    this.ratio = map.lowestRatio();
    checked(inputRate, inputRate * ratio);
    if (channels < 1) {
      throw new IllegalArgumentException("channels must be at least 1, not " + channels);
    }
    this.channels = channels;
    double band = Math.min(1, ratio);
    double samples = 2;
    while (samples / 2 >= 2 * band) {
      samples /= 2;
    }
    this.factor = samples;

    double nyquist = inputRate * band / 2;
    double pass = Math.max(nyquist * 5 / 6, Math.min(HEARING, nyquist * 20 / 22.05));
    int half = (int) Math.ceil(KaiserSinc.halfWidth((nyquist - pass) / inputRate, ATTENUATION));
    // Blocks must begin on samples between the stages.
    int align = (int) Math.max(1, 1 / factor);
    this.spoilt = (half + UNDOING * align + align - 1) / align * align;
    int needed = Math.max(MIN_TRANSFORM, TRANSFORM_LENGTHS * 2 * half);
    this.size = Integer.highestOneBit(needed - 1) * 2;
    this.sizeBetween = (int) (size * factor);
    KaiserSinc lowPass = new KaiserSinc((pass + nyquist) / 2 / inputRate, half, ATTENUATION);
    this.gain = gains(lowPass, half);

    this.input = new float[channels][size];
    // Silence before frame 0, as far back as the two stages reach.
    int lead = TAPS / 2 * align;
    this.inputFill = spoilt + lead;
    this.middleStart = -(long) (lead * factor);
    this.work = new float[Math.max(size, sizeBetween)];
    this.middle = new float[channels][2 * TAPS + sizeBetween];
  }

  private static double checked(double inputRate, double outputRate) {
    double ratio = outputRate / inputRate;
    if (!(inputRate > 0 && ratio >= 1.0 / 64 && ratio <= 64)) {
      throw new IllegalArgumentException(
          "the ratio of the rates must be 1/64 to 64, not " + outputRate + " / " + inputRate);
    }
    return ratio;
  }

  /** The low-pass over the kernel, by bin; real, since both are the same to both sides. */
  private float[] gains(KaiserSinc lowPass, int half) {
    float[] taps = new float[size];
    double sum = 0;
    for (int k = 1 - half; k < half; k++) {
      sum += lowPass.at(k);
    }
    for (int k = 0; k < half; k++) {
      taps[k] = (float) (lowPass.at(k) / sum);
      taps[(size - k) % size] = taps[k];
    }
    Fft.of(size).forward(taps);
    float[] gains = new float[Math.min(size, sizeBetween) / 2];
    double whole = kernelSpectrum(0);
    for (int k = 0; k < gains.length; k++) {
      double undone = whole / kernelSpectrum((double) k / sizeBetween);
      // Transforms of several sizes: what is scaled by the larger was summed over the smaller.
      gains[k] = (float) (taps[k == 0 ? 0 : 2 * k] * undone * factor);
    }
    return gains;
  }

  /** Output frames per second of input, over input frames per second; the lowest if it varies. */
  public double ratio() {
    return ratio;
  }

  /** The output frame nearest to an input frame: what sounds at the one sounds at the other. */
  public static long mapFrame(long inputFrame, double ratio) {
    return TimeMap.even(ratio).mapFrame(inputFrame);
  }

  /** Frames that this many input frames become; see {@link TimeMap#outputFrames}. */
  public static long outputFrames(long inputFrames, double ratio) {
    return TimeMap.even(ratio).outputFrames(inputFrames);
  }

  /**
   * Accepts as much input as fits.
   *
   * @param planar from where: one array a channel
   * @param offset index of the first sample to take in each array
   * @param count at most this many frames
   * @return frames taken; 0 if {@link #read} must be called first
   */
  public int write(float[][] planar, int offset, int count) {
    if (total != Long.MAX_VALUE) {
      throw new IllegalStateException("written to after the end");
    }
    int n = Math.min(count, size - inputFill);
    for (int c = 0; c < channels; c++) {
      System.arraycopy(planar[c], offset, input[c], inputFill, n);
    }
    inputFill += n;
    written += n;
    return n;
  }

  /** Marks the end of the input; the remaining output can then be read. */
  public void end() {
    if (total == Long.MAX_VALUE) {
      total = map.outputFrames(written);
    }
  }

  /**
   * Returns as much output as the input so far allows.
   *
   * @param planar where to: one array a channel
   * @param offset index of the first sample to fill in each array
   * @param count at most this many frames
   * @return frames given; 0 if more input is needed first; -1 at the end
   */
  public int read(float[][] planar, int offset, int count) {
    if (produced >= total && count > 0) {
      return -1;
    }
    int want = (int) Math.min(count, total - produced);
    int done = 0;
    while (done < want) {
      int n = interpolate(planar, offset + done, Math.min(GO, want - done));
      done += n;
      if (n == 0 && !filter()) {
        break;
      }
    }
    return done;
  }

  /** The first stage: one block more between the stages; false if input is missing for it. */
  private boolean filter() {
    if (total != Long.MAX_VALUE) {
      silence();
    }
    if (inputFill < size) {
      return false;
    }
    forgetMiddle();
    int hop = size - 2 * spoilt;
    int from = (int) (spoilt * factor);
    int samples = (int) (hop * factor);
    Fft forward = Fft.of(size);
    Fft back = Fft.of(sizeBetween);
    for (int c = 0; c < channels; c++) {
      System.arraycopy(input[c], 0, work, 0, size);
      forward.forward(work);
      weigh(work, gain);
      Arrays.fill(work, 2 * gain.length, Math.max(2 * gain.length, sizeBetween), 0);
      back.inverse(work);
      System.arraycopy(work, from, middle[c], middleFill, samples);
      System.arraycopy(input[c], hop, input[c], 0, size - hop);
    }
    inputFill -= hop;
    middleFill += samples;
    return true;
  }

  private static void weigh(float[] spectrum, float[] gain) {
    spectrum[0] *= gain[0];
    // Half the slower rate, or of either transform's: nothing of it passes.
    spectrum[1] = 0;
    for (int k = 1; k < gain.length; k++) {
      spectrum[2 * k] *= gain[k];
      spectrum[2 * k + 1] *= gain[k];
    }
  }

  /** Drops what the interpolator has passed. */
  private void forgetMiddle() {
    long first = (long) (map.inputPosition(produced) * factor) - (TAPS / 2 - 1);
    int drop = (int) Math.max(0, Math.min(middleFill, first - middleStart));
    for (float[] samples : middle) {
      System.arraycopy(samples, drop, samples, 0, middleFill - drop);
    }
    middleStart += drop;
    middleFill -= drop;
  }

  /** After the end the input is silent. */
  private void silence() {
    for (float[] samples : input) {
      Arrays.fill(samples, inputFill, size, 0);
    }
    inputFill = size;
  }

  /** The second stage: as many output frames as what lies between the stages allows. */
  private int interpolate(float[][] planar, int offset, int count) {
    // The last sample that the kernel reaches must be there.
    double limit = middleStart + middleFill - TAPS / 2;
    map.inputPositions(produced, places, count);
    int n = count;
    while (n > 0 && places[n - 1] * factor >= limit) {
      n--;
    }
    long first = middleStart + (TAPS / 2 - 1);
    // A whole number is taken apart by its bits: a conversion back to a fraction waits for what its
    // register held before (HotSpot 17).
    for (int i = 0; i < n; i++) {
      long place = (long) ((places[i] * factor - first) * PARTS);
      at[i] = (int) (place >>> ROW_BITS + SHARE_BITS);
      row[i] = ((int) (place >>> SHARE_BITS) & ROWS - 1) * TAPS;
      share[i] = Float.intBitsToFloat(ONE | (int) place & (1 << SHARE_BITS) - 1) - 1;
    }
    for (int c = 0; c < channels; c++) {
      float[] from = middle[c];
      float[] to = planar[c];
      for (int i = 0; i < n; i++) {
        to[offset + i] = twoRows(from, at[i], row[i], share[i]);
      }
    }
    produced += n;
    return n;
  }

  /**
   * The sum over one table row and the next one. Written out: HotSpot 17 checks the bounds of all
   * once, and a loop of eight would cost it twice the time.
   */
  private static float twoRows(float[] x, int i, int r, float share) {
    float[] t = TABLE;
    float x0 = x[i];
    float x1 = x[i + 1];
    float x2 = x[i + 2];
    float x3 = x[i + 3];
    float x4 = x[i + 4];
    float x5 = x[i + 5];
    float x6 = x[i + 6];
    float x7 = x[i + 7];
    float a =
        ((x0 * t[r] + x1 * t[r + 1]) + (x2 * t[r + 2] + x3 * t[r + 3]))
            + ((x4 * t[r + 4] + x5 * t[r + 5]) + (x6 * t[r + 6] + x7 * t[r + 7]));
    float b =
        ((x0 * t[r + 8] + x1 * t[r + 9]) + (x2 * t[r + 10] + x3 * t[r + 11]))
            + ((x4 * t[r + 12] + x5 * t[r + 13]) + (x6 * t[r + 14] + x7 * t[r + 15]));
    return a + share * (b - a);
  }

  private static float[] kernelTable() {
    float[] table = new float[(ROWS + 1) * TAPS];
    double[] taps = new double[TAPS];
    for (int r = 0; r <= ROWS; r++) {
      double sum = 0;
      for (int k = 0; k < TAPS; k++) {
        taps[k] = KaiserSinc.window((k - (TAPS / 2 - 1) - (double) r / ROWS) / (TAPS / 2), BETA);
        sum += taps[k];
      }
      // Gain 1 at 0 Hz in every row, so that a constant stays one.
      for (int k = 0; k < TAPS; k++) {
        table[r * TAPS + k] = (float) (taps[k] / sum);
      }
    }
    return table;
  }

  /** The kernel's spectrum at a frequency in cycles a sample, up to half; to a constant factor. */
  private static double kernelSpectrum(double frequency) {
    double w = Math.PI * TAPS * frequency;
    double root = Math.sqrt(BETA * BETA - w * w);
    return Math.sinh(root) / root;
  }
}
