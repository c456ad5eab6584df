package takewright.denoise.hum;

import java.io.IOException;
import java.util.Arrays;
import takewright.audio.AudioSource;
import takewright.denoise.band.StftSize;
import takewright.denoise.stage.CleaningStage;
import takewright.dsp.Fft;
import takewright.dsp.Windows;

/**
 * Subtracts mains hum while audio is read.
 *
 * <p>Each line's amplitude and phase are followed in frames that are thinned out to the lowest
 * kilohertz or so, and averaged over some seconds before and after: the grid's frequency wanders
 * slowly, and one wandering holds for all lines. A frame in which a line is far stronger than hum
 * and room together is held by a partial of a note there, and is left out; so under a note a line
 * goes on as it was before and will be after, and the partial keeps what is its own. A line is
 * subtracted only as far as it stands out of the noise of its own estimate.
 *
 * <p>It reads ahead by about 2.5 seconds.
 */
public final class HumRemover extends CleaningStage {
  /** Frames averaged on either side of a moment: two seconds. */
  private static final int REACH = 24;

  /** Samples a thinned frame; as long as the frames of {@link StftSize}. */
  private static final int MOST_SIZE = 2048;

  /** Beyond these shares of its power in the room a line is held by a note's partial. */
  private static final double LOUDER = 2;

  private static final double SOFTER = 0.3;

  /** Noise in a frame reaches this many times its mean power once in 3000 frames. */
  private static final double NOISE_PEAK = 8;

  /** A frame that is off by this many times the noise, and this share of the line, counts half. */
  private static final double OFF_NOISE = 3;

  private static final double OFF_SHARE = 0.03;

  /**
   * The most that is believed of a line not heard for long, in frames, and what it loses a frame.
   */
  private static final double HOLD = 3;

  private static final double FORGET = 0.98;

  /** With less weight than this nothing is known of a line. */
  private static final double LEAST = 1e-3;

  /** Wandering of the fundamental: the most, the most within a third of a second; in hertz. */
  private static final double FARTHEST_HZ = 0.25;

  private static final double STEP_HZ = 0.005;
  private static final int STEPS = 6;

  /** Frames from one look at the fundamental to the next. */
  private static final int LOOK = 4;

  /** Lines that the fundamental is followed by: the strongest that are not too high. */
  private static final int LEADERS = 6;

  private static final int HIGHEST_LEADER = 12;

  private final Hum hum;
  private final int lines;
  private final int thin;
  private final int size;
  private final int step;
  private final float[] window;
  private final LineProjection[] projections;
  private final float[] scale;
  private final double frameS;
  private final double[] kernel = new double[2 * REACH + 1];
  private final int[] leaders;

  private final float[][] input;
  private final float[][] past;
  private final float[][] thinned;
  private final float[] packed;

  /** Amplitudes by frame, channel and line, turned back by the fundamental as it was found. */
  private final double[][][] re;

  private final double[][][] im;
  private final boolean[][][] heard;

  private final double[][] lastRe;
  private final double[][] lastIm;
  private final double[][] hold;
  private final HumPeriod[] periods;

  private double wander;
  private boolean followed;
  private long frame;

  public HumRemover(AudioSource source, Hum hum) {
    super(source, StftSize.size(source.sampleRate()) / 2);
    this.hum = hum;
    lines = hum.harmonics().length;
    int whole = StftSize.size(source.sampleRate());
    thin = Math.max(1, whole / MOST_SIZE);
    size = whole / thin;
    step = whole / 2;
    window = Windows.hann(size);
    frameS = (double) step / source.sampleRate();
    projections = new LineProjection[lines];
    scale = new float[lines];
    for (int i = 0; i < lines; i++) {
      double turns = hum.hz(i) / source.sampleRate();
      projections[i] = new LineProjection(size, turns * whole);
      // What the mean over `thin` samples leaves of the line.
      scale[i] =
          (float)
              (thin == 1 ? 1 : thin * Math.sin(Math.PI * turns) / Math.sin(Math.PI * turns * thin));
    }
    for (int i = 0; i < kernel.length; i++) {
      kernel[i] = 0.5 + 0.5 * Math.cos(Math.PI * (i - REACH) / (REACH + 1));
    }
    leaders = leaders(hum);
    input = new float[channels][step];
    past = new float[channels][Integer.highestOneBit(2 * (REACH + 3) * step)];
    thinned = new float[channels][size];
    packed = new float[size];
    re = new double[2 * REACH + 1][channels][lines];
    im = new double[2 * REACH + 1][channels][lines];
    heard = new boolean[2 * REACH + 1][channels][lines];
    lastRe = new double[channels][lines];
    lastIm = new double[channels][lines];
    hold = new double[channels][lines];
    periods = new HumPeriod[channels];
    Arrays.setAll(periods, c -> new HumPeriod());
  }

  private static int[] leaders(Hum hum) {
    int n = hum.harmonics().length;
    double[] clear = new double[n];
    for (int i = 0; i < n; i++) {
      for (int c = 0; c < hum.amplitude().length; c++) {
        clear[i] += Math.pow(hum.amplitude()[c][i], 2) / hum.noise()[c][i];
      }
      clear[i] = hum.harmonics()[i] > HIGHEST_LEADER ? 0 : clear[i];
    }
    Integer[] order = new Integer[n];
    Arrays.setAll(order, i -> i);
    Arrays.sort(order, (a, b) -> Double.compare(clear[b], clear[a]));
    int[] leaders = new int[Math.min(n, LEADERS)];
    Arrays.setAll(leaders, i -> order[i]);
    return leaders;
  }

  /** Reads the next block, and returns the one that is now known well enough. */
  @Override
  protected void next() throws IOException {
    boolean whole = fillPast();
    listen(whole && frame > 0);
    long middle = frame - REACH;
    if (middle >= 0) {
      if (middle % LOOK == 0) {
        follow();
      }
      layOut();
      if (middle >= 1) {
        subtract(middle - 1);
        give(0);
      }
    }
    frame++;
  }

  private boolean fillPast() throws IOException {
    int n = fill(input);
    int start = (int) (frame * step & past[0].length - 1);
    for (int c = 0; c < channels; c++) {
      float[] x = input[c];
      Arrays.fill(x, n, step, 0);
      System.arraycopy(x, 0, past[c], start, step);
    }
    return n == step;
  }

  /** Takes the amplitudes of the frame that ends with the block just read. */
  private void listen(boolean whole) {
    int slot = (int) (frame % heard.length);
    Fft fft = Fft.of(size);
    // The frame's middle is where the block begins, and a thinned sample is the mean of `thin`.
    double turns =
        hum.fundamentalHz() / source.sampleRate() * (frame * (double) step + (thin - 1) / 2.0);
    for (int c = 0; c < channels; c++) {
      thin(input[c], thinned[c]);
      if (!whole) {
        Arrays.fill(heard[slot][c], false);
        continue;
      }
      for (int i = 0; i < size; i++) {
        packed[i] = thinned[c][i] * window[i];
      }
      fft.forward(packed);
      for (int i = 0; i < lines; i++) {
        LineProjection line = projections[i];
        line.of(packed);
        double power = (line.re * line.re + line.im * line.im) * scale[i] * scale[i];
        double steady = hum.amplitude()[c][i] * hum.amplitude()[c][i];
        double noise = hum.noise()[c][i];
        heard[slot][c][i] =
            power < LOUDER * steady + NOISE_PEAK * noise
                && power > SOFTER * steady - NOISE_PEAK * noise;
        double angle = -2 * Math.PI * (hum.harmonics()[i] * turns % 1);
        double cos = Math.cos(angle) * scale[i];
        double sin = Math.sin(angle) * scale[i];
        re[slot][c][i] = line.re * cos - line.im * sin;
        im[slot][c][i] = line.re * sin + line.im * cos;
      }
    }
  }

  private void thin(float[] x, float[] out) {
    int half = size / 2;
    System.arraycopy(out, half, out, 0, half);
    float share = 1f / thin;
    for (int i = 0; i < half; i++) {
      float sum = 0;
      for (int j = i * thin; j < (i + 1) * thin; j++) {
        sum += x[j];
      }
      // Not a number, or infinite: it would spread over the frame.
      out[half + i] = Math.abs(sum) <= Float.MAX_VALUE ? sum * share : 0;
    }
  }

  /** The current deviation of the fundamental. */
  private void follow() {
    int reach = followed ? STEPS : (int) Math.round(FARTHEST_HZ / STEP_HZ);
    double best = 0;
    double at = wander;
    for (int s = -reach; s <= reach; s++) {
      double hz = wander + s * STEP_HZ;
      if (Math.abs(hz) > FARTHEST_HZ) {
        continue;
      }
      // Of two that fit alike the nearer one.
      double fits = fit(hz) * (1 - 1e-3 * Math.abs(s) / reach);
      if (fits > best) {
        best = fits;
        at = hz;
      }
    }
    followed = best > 0;
    wander = at;
  }

  private double fit(double hz) {
    double fits = 0;
    for (int line : leaders) {
      double turn = -2 * Math.PI * hum.harmonics()[line] * hz * frameS;
      double turnRe = Math.cos(turn);
      double turnIm = Math.sin(turn);
      for (int c = 0; c < channels; c++) {
        double cos = 1;
        double sin = 0;
        double sumRe = 0;
        double sumIm = 0;
        double weights = 0;
        for (int i = 0; i < kernel.length; i++) {
          int slot = slot(i);
          if (heard[slot][c][line]) {
            double k = kernel[i];
            sumRe += k * (re[slot][c][line] * cos - im[slot][c][line] * sin);
            sumIm += k * (re[slot][c][line] * sin + im[slot][c][line] * cos);
            weights += k;
          }
          double t = cos * turnRe - sin * turnIm;
          sin = cos * turnIm + sin * turnRe;
          cos = t;
        }
        if (weights > 0) {
          fits += (sumRe * sumRe + sumIm * sumIm) / (weights * hum.noise()[c][line]);
        }
      }
    }
    return fits;
  }

  /** Place in the rings of the frame that the kernel's i-th weight is for. */
  private int slot(int i) {
    return (int) ((frame - 2 * REACH + i + 2L * heard.length) % heard.length);
  }

  /** Lays out a period of the hum at the middle of the frames that are known. */
  private void layOut() {
    for (int c = 0; c < channels; c++) {
      float[] spectrum = periods[c].nextSpectrum();
      for (int i = 0; i < lines; i++) {
        estimate(c, i);
        double room = lastRe[c][i] * lastRe[c][i] + lastIm[c][i] * lastIm[c][i];
        double sure = room == 0 ? 0 : Math.max(0, 1 - doubt / room);
        int h = hum.harmonics()[i];
        spectrum[2 * h] = (float) (sure * lastRe[c][i] * HumPeriod.SAMPLES / 2);
        spectrum[2 * h + 1] = (float) (sure * lastIm[c][i] * HumPeriod.SAMPLES / 2);
      }
      periods[c].layOut();
    }
  }

  /** Power of the error of the last estimate. */
  private double doubt;

  private void estimate(int c, int line) {
    double turn = -2 * Math.PI * hum.harmonics()[line] * wander * frameS;
    // What was known a frame ago, turned on to now.
    double oldRe = lastRe[c][line] * Math.cos(turn) + lastIm[c][line] * Math.sin(turn);
    double oldIm = lastIm[c][line] * Math.cos(turn) - lastRe[c][line] * Math.sin(turn);
    double held = hold[c][line];
    double noise = hum.noise()[c][line];
    // First all alike; then those less that are far from what most say.
    double nowRe = 0;
    double nowIm = 0;
    for (int pass = 0; pass < 2; pass++) {
      double off = OFF_NOISE * noise + OFF_SHARE * (nowRe * nowRe + nowIm * nowIm);
      double sumRe = held * oldRe;
      double sumIm = held * oldIm;
      double weights = held;
      double squares = held;
      double spread = held * noise;
      double cos = Math.cos(-turn * REACH);
      double sin = Math.sin(-turn * REACH);
      double turnRe = Math.cos(turn);
      double turnIm = Math.sin(turn);
      for (int i = 0; i < kernel.length; i++) {
        int slot = slot(i);
        if (heard[slot][c][line]) {
          double x = re[slot][c][line] * cos - im[slot][c][line] * sin;
          double y = re[slot][c][line] * sin + im[slot][c][line] * cos;
          double k = kernel[i];
          if (pass > 0) {
            double far = (x - nowRe) * (x - nowRe) + (y - nowIm) * (y - nowIm);
            k *= off / (off + far);
            spread += k * far;
          }
          sumRe += k * x;
          sumIm += k * y;
          weights += k;
          squares += k * k;
        }
        double t = cos * turnRe - sin * turnIm;
        sin = cos * turnIm + sin * turnRe;
        cos = t;
      }
      if (weights < LEAST) {
        nowRe = 0;
        nowIm = 0;
        doubt = 0;
        break;
      }
      nowRe = sumRe / weights;
      nowIm = sumIm / weights;
      if (pass > 0) {
        // The frames differ by the noise, or more where something else is in them.
        doubt = Math.max(noise, spread / weights) * squares / (weights * weights);
        hold[c][line] = Math.min(HOLD, FORGET * Math.max(held, weights - held));
      }
    }
    lastRe[c][line] = nowRe;
    lastIm[c][line] = nowIm;
  }

  /** The block between two frame centres, without the hum. */
  private void subtract(long number) {
    double turns = hum.fundamentalHz() / source.sampleRate();
    double from = turns * (number * (double) step) % 1;
    int start = (int) (number * step & past[0].length - 1);
    for (int c = 0; c < channels; c++) {
      periods[c].subtract(past[c], start, step, from, turns, block[c]);
    }
  }
}
