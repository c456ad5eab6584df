package takewright.denoise.hum;

/**
 * Takes the tones of machines out of short-time spectra.
 *
 * <p>Each tone's amplitude and phase are followed from frame to frame, and its mean over half a
 * second each way is subtracted from the frame in the middle, turned as the tone turns. A frame in
 * which a note's partial holds the line is left out: there the tone goes on as it was before and
 * will be after. Only so much of it is subtracted as the frames agree on.
 */
public final class ToneTracker {
  /** Frames each way that the mean is taken over. */
  public static final int REACH = 8;

  /** Frames kept: a power of two above what a caller looks back and {@link #REACH} more. */
  private static final int KEPT = 64;

  /** Beyond this many times its power in the room a line is held by a note's partial. */
  private static final double LOUDER = 3;

  /** The farthest that a tone strays from its mean frequency, in hertz. */
  private static final double FARTHEST_HZ = 0.8;

  /** Fewer frames than this agree by chance. */
  private static final int LEAST_FRAMES = 4;

  /** No more of the noise in a bin is taken to be gone. */
  private static final double MOST_TAKEN = 0.9;

  private final LineProjection[] lines;
  private final int[] bins;
  private final int channels;

  /** Turn from frame to frame by tone, in radians, and the farthest off it. */
  private final double[] turn;

  private final double farthest;

  /** Squared amplitude of a tone over the power of its bin. */
  private final double amplitudePower;

  private final double[] kernel = new double[2 * REACH + 1];

  /** Amplitudes by frame, tone and channel, turned back; a frame that is left out counts 0. */
  private final double[][][] re;

  private final double[][][] im;
  private final boolean[][] heard;
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
    turn = new double[n];
    for (int i = 0; i < n; i++) {
      double bin = hz[i] * size / sampleRate;
      lines[i] = new LineProjection(size, bin);
      bins[i] = (int) Math.round(bin);
      turn[i] = 2 * Math.PI * hz[i] * hop / sampleRate;
    }
    // A tone of amplitude 1 peaks at a quarter of the samples under a Hann window.
    amplitudePower = 16.0 / size / size;
    farthest = 2 * Math.PI * FARTHEST_HZ * hop / sampleRate;
    for (int i = 0; i < kernel.length; i++) {
      kernel[i] = 0.5 + 0.5 * Math.cos(Math.PI * (i - REACH) / (REACH + 1));
    }
    re = new double[KEPT][n][channels];
    im = new double[KEPT][n][channels];
    heard = new boolean[KEPT][n];
    lineRe = new double[channels];
    lineIm = new double[channels];
  }

  /**
   * Takes the next frame.
   *
   * @param spectrum of the frame by channel, packed
   * @param inverseNoise one over the power of the room that is expected in each bin of the frame,
   *     all channels together
   */
  public void add(float[][] spectrum, float[] inverseNoise) {
    frame++;
    int slot = (int) frame & (KEPT - 1);
    for (int i = 0; i < lines.length; i++) {
      double angle = -(turn[i] * frame % (2 * Math.PI));
      double cos = Math.cos(angle);
      double sin = Math.sin(angle);
      double power = 0;
      for (int c = 0; c < channels; c++) {
        lines[i].of(spectrum[c]);
        double x = lines[i].re;
        double y = lines[i].im;
        power += x * x + y * y;
        re[slot][i][c] = x * cos - y * sin;
        im[slot][i][c] = x * sin + y * cos;
      }
      heard[slot][i] = power < LOUDER * amplitudePower / inverseNoise[bins[i]];
    }
  }

  /**
   * Takes the tones out of a frame, and raises the gains where less noise is left.
   *
   * @param ago how many frames before the last
   * @param spectrum of that frame by channel, packed
   * @param ratios power over noise power of its bins, all channels together
   * @param gains of its bins; those at the floor stay
   */
  public void subtract(int ago, float[][] spectrum, float[] ratios, float[] gains, float floor) {
    for (int i = 0; i < lines.length; i++) {
      double step = step(ago, i);
      double angle = turn[i] * (frame - ago) % (2 * Math.PI);
      double cos = Math.cos(angle);
      double sin = Math.sin(angle);
      double power = 0;
      for (int c = 0; c < channels; c++) {
        estimate(ago, i, c, step);
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
      double taken = Math.min(MOST_TAKEN, power * line.share(k) / Math.max(noise, 1e-30));
      gains[k] = (float) (g / (g + (1 - g) * (1 - taken)));
    }
  }

  /** How much more than its mean frequency says a tone turns from frame to frame around one. */
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
    return Math.max(-farthest, Math.min(farthest, Math.atan2(sumIm, sumRe)));
  }

  private double meanRe;
  private double meanIm;

  /** The tone in a frame, as far as the frames around agree; 0 if nothing is known. */
  private void estimate(int ago, int tone, int c, double step) {
    double sumRe = 0;
    double sumIm = 0;
    double weights = 0;
    double squares = 0;
    double whole = 0;
    int count = 0;
    for (int j = -REACH; j <= REACH; j++) {
      int slot = slot(ago - j);
      if (!heard[slot][tone]) {
        continue;
      }
      double k = kernel[j + REACH];
      double cos = Math.cos(step * j);
      double sin = Math.sin(step * j);
      double x = re[slot][tone][c];
      double y = im[slot][tone][c];
      sumRe += k * (x * cos + y * sin);
      sumIm += k * (y * cos - x * sin);
      whole += k * (x * x + y * y);
      weights += k;
      squares += k * k;
      count++;
    }
    meanRe = 0;
    meanIm = 0;
    if (count < LEAST_FRAMES || !(whole > 0)) {
      return;
    }
    double agreed = (sumRe * sumRe + sumIm * sumIm) / (weights * whole);
    double byChance = squares / (weights * weights);
    double share = Math.max(0, (agreed - byChance) / (1 - byChance)) / Math.max(agreed, 1e-9);
    meanRe = share * sumRe / weights;
    meanIm = share * sumIm / weights;
  }

  private int slot(int ago) {
    return (int) (frame - ago) & (KEPT - 1);
  }
}
