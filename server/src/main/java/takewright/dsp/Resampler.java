package takewright.dsp;

import java.util.Arrays;

/**
 * Changes the rate of audio by any ratio: band-limited interpolation with linear phase, for a
 * stream of any length in bounded memory.
 *
 * <p>Two stages, in the order the sound takes. A long low-pass, a Kaiser-windowed sinc, takes away
 * whatever the slower of the two rates cannot hold, and where need be doubles the rate, so that the
 * band fills half the spectrum at most. There a short kernel, read from one table that all share,
 * can do the interpolation at any position. Splitting the work so needs a third of the
 * multiplications of one long interpolated kernel, and nearly all of them in loops that HotSpot
 * vectorises: sums of floats it would not.
 *
 * <p>Figures, by design (measured ones stand in the tests):
 *
 * <ul>
 *   <li>Stop band: 126 dB down from half the slower rate on; nothing folds, also for shifts up.
 *   <li>Pass band: to 20 kHz, but at least to 5/6 and at most to 20/22.05 of half the slower rate;
 *       ripple below 0.00001 dB.
 *   <li>Interpolation between table rows is linear: the error is (w / L)^2 / 8 for w radians a
 *       sample and L = 2048 rows a sample, so -142 dB at worst, with w at most pi/2 since the band
 *       fills half the spectrum.
 *   <li>Gain 1 at 0 Hz, to the rounding of floats.
 * </ul>
 *
 * <p>No delay: output frame 0 is input frame 0, and before the first and after the last frame there
 * is silence. Peaks between samples can come to stand on samples, so that the result may pass full
 * scale where the input did not. Samples must be finite. Not for use by several threads at once.
 *
 * <p>For a ratio that varies: positions come from one method, and only the count of frames that are
 * ready assumes even steps; the low-pass must suit the fastest passage.
 */
public final class Resampler {
  /** Input frames filtered in one go: small enough for everything to stay in the first cache. */
  private static final int BLOCK = 512;

  /** Stop band of the low-pass in dB: 120 is asked for, the rest is for rounding. */
  private static final double ATTENUATION = 126;

  /** Highest frequency that people hear, in hertz. */
  private static final double HEARING = 20_000;

  /** Taps of the interpolating kernel; Kaiser's fit gives 136 dB for 20 at this transition. */
  private static final int TAPS = 20;

  /** Rows of the interpolating kernel's table a sample; for the error see above. */
  private static final int ROWS = 2048;

  /** Stop band of the interpolating kernel in dB. */
  private static final double INTERPOLATOR_ATTENUATION = 136;

  /** Row r, tap k: the kernel at k - (TAPS / 2 - 1) - r / ROWS; one row more, to interpolate to. */
  private static final float[] TABLE = interpolatorTable();

  /**
   * Frames before frame 0 that the low-pass is computed for: what the interpolator reaches back.
   */
  private static final int LEAD = TAPS / 2;

  private final double ratio;
  private final int channels;

  /** Samples between the stages for one input frame: 1 or 2. */
  private final int factor;

  /** The low-pass reaches from {@code half - 1} frames back to {@code half} frames ahead. */
  private final int half;

  /** One phase a sample between the stages; taps from the oldest frame on. */
  private final Fir lowPass;

  /** Samples between the stages for one output frame. */
  private final double step;

  private final float[][] input;
  private int inputFill;

  /** One phase of the low-pass, before the phases are woven together. */
  private final float[][] phase;

  private final float[][] middle;
  private long middleStart;
  private int middleFill;

  private long written;
  private long produced;
  private long total = Long.MAX_VALUE;

  /**
   * A resampler at the start of its stream.
   *
   * @param inputRate frames a second of the input, above 0
   * @param outputRate frames a second of the output, measured in the input's time: for a shift by c
   *     cents it is the output's sample rate / 2^(c / 1200). From 1/64 to 64 times {@code
   *     inputRate}
   * @param channels number of channels, at least 1
   */
  public Resampler(double inputRate, double outputRate, int channels) {
    this.ratio = outputRate / inputRate;
    if (!(inputRate > 0 && ratio >= 1.0 / 64 && ratio <= 64)) {
      throw new IllegalArgumentException(
          "the ratio of the rates must be 1/64 to 64, not " + outputRate + " / " + inputRate);
    }
    if (channels < 1) {
      throw new IllegalArgumentException("channels must be at least 1, not " + channels);
    }
    this.channels = channels;
    this.factor = ratio <= 0.5 ? 1 : 2;
    this.step = factor / ratio;

    double nyquist = Math.min(inputRate, outputRate) / 2;
    double pass = Math.max(nyquist * 5 / 6, Math.min(HEARING, nyquist * 20 / 22.05));
    double halfWidth = KaiserSinc.halfWidth((nyquist - pass) / inputRate, ATTENUATION);
    // Even, so that the taps come in whole fours.
    this.half = 2 * (int) Math.ceil((halfWidth + 1) / 2);
    KaiserSinc kernel = new KaiserSinc((pass + nyquist) / 2 / inputRate, half, ATTENUATION);
    float[][] phases = new float[factor][2 * half];
    double[] taps = new double[2 * half];
    for (int p = 0; p < factor; p++) {
      for (int k = 0; k < taps.length; k++) {
        taps[k] = kernel.at(k - (half - 1) - (double) p / factor);
      }
      normalise(taps, phases[p], 0);
    }
    this.lowPass = new Fir(phases, BLOCK);

    this.input = new float[channels][2 * half + BLOCK];
    // Silence before frame 0, as far back as the two stages reach.
    this.inputFill = LEAD + half - 1;
    this.phase = new float[factor][BLOCK];
    this.middle = new float[channels][4 * TAPS + factor * BLOCK];
    this.middleStart = -(long) LEAD * factor;
  }

  /** Output frames a second of input, over input frames a second. */
  public double ratio() {
    return ratio;
  }

  /** The output frame nearest to an input frame: what sounds at the one sounds at the other. */
  public long mapFrame(long inputFrame) {
    return mapFrame(inputFrame, ratio);
  }

  /** The output frame nearest to an input frame, for output frames an input frame. */
  public static long mapFrame(long inputFrame, double ratio) {
    return Math.round(inputFrame * ratio);
  }

  /**
   * Frames that so many input frames become: {@code frames * ratio} rounded up, so that the end is
   * never cut. A fraction below a millionth of a frame is taken for rounding. The end of a range,
   * mapped, never lies beyond it.
   */
  public static long outputFrames(long inputFrames, double ratio) {
    return Math.max((long) Math.ceil(inputFrames * ratio - 1e-6), mapFrame(inputFrames, ratio));
  }

  /**
   * Takes input, as much as there is room for.
   *
   * @param planar from where: one array a channel
   * @param offset index of the first sample to take in each array
   * @param count at most so many frames
   * @return frames taken; 0 where {@link #read} must be called first
   */
  public int write(float[][] planar, int offset, int count) {
    if (total != Long.MAX_VALUE) {
      throw new IllegalStateException("written to after the end");
    }
    int n = Math.min(count, input[0].length - inputFill);
    for (int c = 0; c < channels; c++) {
      System.arraycopy(planar[c], offset, input[c], inputFill, n);
    }
    inputFill += n;
    written += n;
    return n;
  }

  /** Says that all input was written; what is still on its way can then be read. */
  public void end() {
    if (total == Long.MAX_VALUE) {
      total = outputFrames(written, ratio);
    }
  }

  /**
   * Gives output, as much as the input so far allows.
   *
   * @param planar where to: one array a channel
   * @param offset index of the first sample to fill in each array
   * @param count at most so many frames
   * @return frames given; 0 where more input is needed first; -1 at the end
   */
  public int read(float[][] planar, int offset, int count) {
    if (produced >= total && count > 0) {
      return -1;
    }
    int want = (int) Math.min(count, total - produced);
    int done = 0;
    while (done < want) {
      int n = interpolate(planar, offset + done, want - done);
      done += n;
      if (n == 0 && !filter()) {
        break;
      }
    }
    return done;
  }

  /** Where output frame {@code index} lies, in samples between the stages. */
  private double position(long index) {
    return index * step;
  }

  /** The second stage: as many output frames as what lies between the stages allows. */
  private int interpolate(float[][] planar, int offset, int count) {
    // The last sample that the kernel reaches must be there.
    long limit = middleStart + middleFill - TAPS / 2;
    int n = (int) Math.max(0, Math.min(count, (long) Math.ceil(limit / step) - produced));
    while (n > 0 && (long) position(produced + n - 1) >= limit) {
      n--;
    }
    for (int c = 0; c < channels; c++) {
      float[] from = middle[c];
      float[] to = planar[c];
      for (int i = 0; i < n; i++) {
        double position = position(produced + i);
        long whole = (long) position;
        double row = (position - whole) * ROWS;
        int r = (int) row;
        to[offset + i] =
            twoRows(
                from, (int) (whole - (TAPS / 2 - 1) - middleStart), r * TAPS, (float) (row - r));
      }
    }
    produced += n;
    return n;
  }

  /** The sum over one table row and the next one, each in four parts that do not wait in line. */
  private static float twoRows(float[] from, int at, int row, float share) {
    float a0 = 0;
    float a1 = 0;
    float a2 = 0;
    float a3 = 0;
    float b0 = 0;
    float b1 = 0;
    float b2 = 0;
    float b3 = 0;
    for (int k = 0; k < TAPS; k += 4) {
      float x0 = from[at + k];
      float x1 = from[at + k + 1];
      float x2 = from[at + k + 2];
      float x3 = from[at + k + 3];
      a0 += x0 * TABLE[row + k];
      a1 += x1 * TABLE[row + k + 1];
      a2 += x2 * TABLE[row + k + 2];
      a3 += x3 * TABLE[row + k + 3];
      b0 += x0 * TABLE[row + TAPS + k];
      b1 += x1 * TABLE[row + TAPS + k + 1];
      b2 += x2 * TABLE[row + TAPS + k + 2];
      b3 += x3 * TABLE[row + TAPS + k + 3];
    }
    float a = (a0 + a1) + (a2 + a3);
    float b = (b0 + b1) + (b2 + b3);
    return a + share * (b - a);
  }

  /** The first stage: one block more between the stages; false where input is missing for it. */
  private boolean filter() {
    forgetMiddle();
    if (total != Long.MAX_VALUE) {
      silence();
    }
    int n = Math.min(inputFill - (2 * half - 1), (middle[0].length - middleFill) / factor);
    n = Math.min(n, BLOCK);
    if (n <= 0) {
      return false;
    }
    for (int c = 0; c < channels; c++) {
      lowPass.apply(input[c], 0, phase, n);
      weave(middle[c], middleFill, n);
      System.arraycopy(input[c], n, input[c], 0, inputFill - n);
    }
    inputFill -= n;
    middleFill += n * factor;
    return true;
  }

  /** Drops what the interpolator has passed. */
  private void forgetMiddle() {
    long first = (long) position(produced) - (TAPS / 2 - 1);
    int drop = (int) Math.max(0, Math.min(middleFill, first - middleStart));
    for (float[] samples : middle) {
      System.arraycopy(samples, drop, samples, 0, middleFill - drop);
    }
    middleStart += drop;
    middleFill -= drop;
  }

  /** Behind the end the input is silent. */
  private void silence() {
    for (float[] samples : input) {
      Arrays.fill(samples, inputFill, samples.length, 0);
    }
    inputFill = input[0].length;
  }

  private void weave(float[] to, int at, int n) {
    if (factor == 1) {
      System.arraycopy(phase[0], 0, to, at, n);
      return;
    }
    float[] even = phase[0];
    float[] odd = phase[1];
    for (int i = 0; i < n; i++) {
      to[at + 2 * i] = even[i];
      to[at + 2 * i + 1] = odd[i];
    }
  }

  private static float[] interpolatorTable() {
    // The band ends at a quarter of the rate between the stages, its images begin at three
    // quarters: the transition lies between, its middle at a half.
    KaiserSinc kernel = new KaiserSinc(0.5, TAPS / 2.0, INTERPOLATOR_ATTENUATION);
    float[] table = new float[(ROWS + 1) * TAPS];
    double[] taps = new double[TAPS];
    for (int r = 0; r <= ROWS; r++) {
      for (int k = 0; k < TAPS; k++) {
        taps[k] = kernel.at(k - (TAPS / 2 - 1) - (double) r / ROWS);
      }
      normalise(taps, table, r * TAPS);
    }
    return table;
  }

  /** Gives every phase the gain 1 at 0 Hz, so that a constant stays one. */
  private static void normalise(double[] taps, float[] to, int at) {
    double sum = 0;
    for (double tap : taps) {
      sum += tap;
    }
    for (int k = 0; k < taps.length; k++) {
      to[at + k] = (float) (taps[k] / sum);
    }
  }
}
