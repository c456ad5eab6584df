package takewright.denoise.hum;

import java.util.Arrays;

/**
 * Takes the tones of machines out of short-time spectra.
 *
 * <p>Each tone's amplitude and phase are followed from frame to frame, and its mean over half a
 * second each way is subtracted from the frame in the middle, turned as the tone turns. A frame in
 * which a note's partial holds the line is left out, unless nearly all are such: there the tone
 * goes on as it was before and will be after, if the room is sure to. Only so much of it is
 * subtracted as the frames agree on.
 */
public final class ToneTracker {
  /** Frames each way that the mean is taken over. */
  public static final int REACH = 8;

  /** Frames kept: a power of two above what a caller looks back and {@link #REACH} more. */
  private static final int KEPT = 64;

  /** Beyond this many times its power in the room a line is held by a note's partial. */
  private static final double LOUDER = 3;

  /** The same for a mean in which a partial beside the tone has averaged out. */
  private static final double MAX_MEAN = 2;

  /** Below this share of it the line holds no tone: the audio is silent there, or has ended. */
  private static final double SOFTER = 0.05;

  /** The farthest that a tone strays from its mean frequency, in hertz. */
  private static final double MAX_OFF_HZ = 0.8;

  /** Fewer frames than this agree by chance. */
  private static final int MIN_FRAMES = 4;

  /** No more of the noise in a bin is taken to be gone. */
  private static final double MAX_TAKEN = 0.9;

  /**
   * What a tone a frame later has in common with it: of one that is heard on one side only, so much
   * less is known the further away that is.
   */
  private static final double KEPT_A_FRAME = 0.94;

  private final LineProjection[] lines;
  private final int[] bins;
  private final int channels;

  /** Turn of each tone from frame to frame, and the farthest off it in radians. */
  private final double[] turnRe;

  private final double[] turnIm;
  private final double maxOff;

  /** Squared amplitude of a tone over the power of its bin. */
  private final double amplitudePower;

  private final double[] kernel = new double[2 * REACH + 1];
  private final double[] cosines = new double[2 * REACH + 1];
  private final double[] sines = new double[2 * REACH + 1];

  /** Amplitudes by frame, tone and channel, turned back; a frame that is left out counts 0. */
  private final double[][][] re;

  private final double[][][] im;
  private final boolean[][] heard;

  /** Power of each tone, all channels together, as the room is expected to be. */
  private final double[][] expected;

  /** By frame, whether the room may be softer than expected. */
  private final boolean[] inDoubt = new boolean[KEPT];

  /** How far each tone has turned, by frame. */
  private final double[][] cosine;

  private final double[][] sine;
  private final double[] lineRe;
  private final double[] lineIm;
  private long frame = -1;

  /**
   * @param hz mean frequency of each tone
   * @param size samples of a transform
   * @param hop samples from frame to frame
   */
  public ToneTracker(double[] hz, int sampleRate, int size, int hop, int channels) {
    this.channels = channels;
    int n = hz.length;
    lines = new LineProjection[n];
    bins = new int[n];
    turnRe = new double[n];
    turnIm = new double[n];
    cosine = new double[KEPT][n];
    sine = new double[KEPT][n];
    Arrays.fill(cosine[slot(0)], 1);
    for (int i = 0; i < n; i++) {
      double bin = hz[i] * size / sampleRate;
      lines[i] = new LineProjection(size, bin);
      bins[i] = (int) Math.round(bin);
      double turn = 2 * Math.PI * hz[i] * hop / sampleRate;
      turnRe[i] = Math.cos(turn);
      turnIm[i] = Math.sin(turn);
    }
    // A tone of amplitude 1 peaks at a quarter of the samples under a Hann window.
    amplitudePower = 16.0 / size / size;
    maxOff = 2 * Math.PI * MAX_OFF_HZ * hop / sampleRate;
    for (int i = 0; i < kernel.length; i++) {
      kernel[i] = 0.5 + 0.5 * Math.cos(Math.PI * (i - REACH) / (REACH + 1));
    }
    re = new double[KEPT][n][channels];
    im = new double[KEPT][n][channels];
    heard = new boolean[KEPT][n];
    expected = new double[KEPT][n];
    lineRe = new double[channels];
    lineIm = new double[channels];
  }

  /**
   * Takes the next frame.
   *
   * @param spectrum of the frame by channel, packed
   * @param inverseNoise one over the power of the room that is expected in each bin of the frame,
   *     all channels together
   * @param inDoubt whether the room may be softer than that
   */
  public void add(float[][] spectrum, float[] inverseNoise, boolean inDoubt) {
    int last = slot(0);
    frame++;
    int slot = slot(0);
    this.inDoubt[slot] = inDoubt;
    for (int i = 0; i < lines.length; i++) {
      double cos = cosine[last][i] * turnRe[i] - sine[last][i] * turnIm[i];
      double sin = sine[last][i] * turnRe[i] + cosine[last][i] * turnIm[i];
      cosine[slot][i] = cos;
      sine[slot][i] = sin;
      double power = 0;
      for (int c = 0; c < channels; c++) {
        lines[i].of(spectrum[c]);
        double x = lines[i].re;
        double y = lines[i].im;
        power += x * x + y * y;
        re[slot][i][c] = x * cos + y * sin;
        im[slot][i][c] = y * cos - x * sin;
      }
      expected[slot][i] = amplitudePower / inverseNoise[bins[i]];
      heard[slot][i] = power < LOUDER * expected[slot][i] && power > SOFTER * expected[slot][i];
    }
  }

  /**
   * Takes the tones that are not at the floor out of a frame, and raises the gains where less noise
   * is left.
   *
   * @param ago how many frames before the last
   * @param spectrum of that frame by channel, packed
   * @param ratios power over noise power of its bins, all channels together
   * @param gains of its bins; those at the floor stay
   */
  public void subtract(int ago, float[][] spectrum, float[] ratios, float[] gains, float floor) {
    for (int i = 0; i < lines.length; i++) {
      if (!isOpen(lines[i], gains, floor)) {
        continue;
      }
      fillTurns(step(ago, i));
      double cos = cosine[slot(ago)][i];
      double sin = sine[slot(ago)][i];
      double power = 0;
      for (int c = 0; c < channels; c++) {
        estimate(ago, i, c);
        if (meanRe == 0 && meanIm == 0 && !inDoubt[slot(ago)]) {
          estimateBesidePartial(ago, i, c);
        }
        lineRe[c] = meanRe * cos - meanIm * sin;
        lineIm[c] = meanRe * sin + meanIm * cos;
        power += meanRe * meanRe + meanIm * meanIm;
      }
      if (power > 0) {
        raise(lines[i], power, spectrum, ratios, gains, floor);
        for (int c = 0; c < channels; c++) {
          lines[i].subtract(spectrum[c], lineRe[c], lineIm[c]);
        }
      }
    }
  }

  /** Whether more than the floor is let through where a line is. */
  private static boolean isOpen(LineProjection line, float[] gains, float floor) {
    for (int k = line.first(); k < line.end(); k++) {
      if (gains[k] > floor) {
        return true;
      }
    }
    return false;
  }

  /** A Wiener gain for the noise with a line becomes the one for the noise without it. */
  private static void raise(
      LineProjection line,
      double power,
      float[][] spectrum,
      float[] ratios,
      float[] gains,
      float floor) {
    for (int k = line.first(); k < line.end(); k++) {
      float g = gains[k];
      if (g <= floor || ratios[k] <= 0) {
        continue;
      }
      double seen = 0;
      for (float[] y : spectrum) {
        seen += y[2 * k] * y[2 * k] + y[2 * k + 1] * y[2 * k + 1];
      }
      double noise = seen / ratios[k];
      double taken = Math.min(MAX_TAKEN, power * line.share(k) / Math.max(noise, 1e-30));
      gains[k] = (float) (g / (g + (1 - g) * (1 - taken)));
    }
  }

  /**
   * The turn of a tone from frame to frame near one, beyond that of its mean frequency; radians.
   */
  private double step(int ago, int tone) {
    double sumRe = 0;
    double sumIm = 0;
    for (int j = -REACH; j < REACH; j++) {
      int a = slot(ago - j);
      int b = slot(ago - j - 1);
      if (heard[a][tone] && heard[b][tone]) {
        for (int c = 0; c < channels; c++) {
          sumRe += re[b][tone][c] * re[a][tone][c] + im[b][tone][c] * im[a][tone][c];
          sumIm += im[b][tone][c] * re[a][tone][c] - re[b][tone][c] * im[a][tone][c];
        }
      }
    }
    return Math.max(-maxOff, Math.min(maxOff, Math.atan2(sumIm, sumRe)));
  }

  /** What turns each frame of a mean as the one in the middle. */
  private void fillTurns(double step) {
    for (int j = 0; j <= REACH; j++) {
      double cos = Math.cos(step * j);
      double sin = Math.sin(step * j);
      cosines[REACH + j] = cos;
      cosines[REACH - j] = cos;
      sines[REACH + j] = sin;
      sines[REACH - j] = -sin;
    }
  }

  private double meanRe;
  private double meanIm;

  /** The tone in a frame, as far as the frames around agree; 0 if nothing is known. */
  private void estimate(int ago, int tone, int c) {
    double sumRe = 0;
    double sumIm = 0;
    double weights = 0;
    double squares = 0;
    double whole = 0;
    double away = 0;
    int count = 0;
    for (int j = -REACH; j <= REACH; j++) {
      int slot = slot(ago - j);
      if (!heard[slot][tone]) {
        continue;
      }
      double k = kernel[j + REACH];
      double cos = cosines[j + REACH];
      double sin = sines[j + REACH];
      double x = re[slot][tone][c];
      double y = im[slot][tone][c];
      sumRe += k * (x * cos + y * sin);
      sumIm += k * (y * cos - x * sin);
      whole += k * (x * x + y * y);
      weights += k;
      squares += k * k;
      away += k * j;
      count++;
    }
    meanRe = 0;
    meanIm = 0;
    if (count < MIN_FRAMES || !(whole > 0)) {
      return;
    }
    double agreed = (sumRe * sumRe + sumIm * sumIm) / (weights * whole);
    double byChance = squares / (weights * weights);
    double share = Math.max(0, (agreed - byChance) / (1 - byChance)) / Math.max(agreed, 1e-9);
    share *= Math.pow(KEPT_A_FRAME, Math.abs(away / weights));
    meanRe = share * sumRe / weights;
    meanIm = share * sumIm / weights;
  }

  /**
   * The same where a partial is heard with the tone in nearly every frame. A partial some hertz
   * beside it turns otherwise, so it averages out, and so much of the mean is believed as its first
   * and second half agree on. One on the tone itself shows by its power.
   */
  private void estimateBesidePartial(int ago, int tone, int c) {
    double firstRe = 0;
    double firstIm = 0;
    double lastRe = 0;
    double lastIm = 0;
    double weights = 0;
    for (int j = -REACH; j <= REACH; j++) {
      int slot = slot(ago - j);
      double cos = cosines[j + REACH];
      double sin = sines[j + REACH];
      double x = kernel[j + REACH] * (re[slot][tone][c] * cos + im[slot][tone][c] * sin);
      double y = kernel[j + REACH] * (im[slot][tone][c] * cos - re[slot][tone][c] * sin);
      double last = 0.5 + 0.5 * j / (REACH + 1);
      firstRe += (1 - last) * x;
      firstIm += (1 - last) * y;
      lastRe += last * x;
      lastIm += last * y;
      weights += kernel[j + REACH] / 2;
    }
    double sumRe = firstRe + lastRe;
    double sumIm = firstIm + lastIm;
    double power = (sumRe * sumRe + sumIm * sumIm) / (4 * weights * weights);
    if (power > MAX_MEAN * expected[slot(ago)][tone] / channels || !(power > 0)) {
      return;
    }
    double apartRe = (firstRe - lastRe) / weights;
    double apartIm = (firstIm - lastIm) / weights;
    double share = Math.max(0, 1 - (apartRe * apartRe + apartIm * apartIm) / power);
    meanRe = share * sumRe / (2 * weights);
    meanIm = share * sumIm / (2 * weights);
  }

  private int slot(int ago) {
    return (int) (frame - ago) & (KEPT - 1);
  }
}
