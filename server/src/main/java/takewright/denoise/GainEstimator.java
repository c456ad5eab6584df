package takewright.denoise;

import java.util.Arrays;
import takewright.dsp.Windows;

/**
 * The gain of every bin of every frame, from how far its power stands above the noise.
 *
 * <p>Let R be a bin's power over the power of the noise there. Where R is smoothed to S, the signal
 * is about S - 1 times the noise, and the Wiener gain that leaves the least error is 1 - 1/S. Which
 * smoothing is right depends on the sound: a held partial wants many frames and one bin, bow noise
 * many bins, an attack little of both. So three smoothings (past and future frames alike: nothing
 * here is in a hurry) give three gains, and each is weighed by its risk, as Stein's unbiased
 * estimate tells it without knowing the clean sound (C. Stein, "Estimation of the mean of a
 * multivariate normal distribution", Annals of Statistics 9, 1981; weights exponential in the risk
 * after G. Leung and A. Barron, "Information theory and mixing least-squares regressions", IEEE
 * Trans. Information Theory 52, 2006). The mixed gain makes a first guess of the clean power, and
 * that guess makes the final Wiener gain, which is sharper than a smoothed one (the "empirical
 * Wiener filter" of S. Ghael, A. Sayeed and R. Baraniuk, Proc. SPIE 3169, 1997).
 *
 * <p>Noise alone also throws up peaks, and a gain that follows them makes musical noise. So a bin
 * is touched by all this only where some smoothing near it stands higher than noise does once in a
 * hundred million; elsewhere the gain is the constant floor and the room sounds as it did, only
 * softer.
 */
final class GainEstimator {
  /** Reach of the three smoothings in frames and in bins, each way. */
  private static final int[] TIME = {0, 1, 6};

  private static final int[] FREQUENCY = {8, 1, 0};

  /** Bins each way over which a risk is averaged: fewer, and the choice itself is noise. */
  private static final int RISK_FREQUENCY = 8;

  /** Difference in risk, in units of the noise power, that makes a smoothing count e times less. */
  private static final float RISK_SCALE = 0.1f;

  /** Reach of a find: the main lobe of a partial and the frames its start is spread over. */
  private static final int FIND_TIME = 2;

  private static final int FIND_FREQUENCY = 8;

  /** How often a smoothing of noise alone may pass for sound. */
  private static final double FALSE_ALARM = 1e-8;

  /** The same where both sides of a bin are asked, and a loud note may have answered for one. */
  private static final double HALF_ALARM = 1e-6;

  /**
   * How often noise may pass for sound where a note is plain to see in the same frame: it hides
   * what little comes through.
   */
  private static final double ALARM_BESIDE = 1e-5;

  private static final double HALF_ALARM_BESIDE = 1e-4;

  /** What {@link #found} says of sound for sure, and of what is sound only beside a note. */
  private static final float SURE = 2;

  private static final float LIKELY = 1;

  /** A bin stands so high over noise once in a hundred thousand frames: exp(-20) times 4097. */
  private static final float PLAIN = 20;

  private static final int REACH = 6;

  /** A gain belongs to the frame pushed so many frames before. */
  static final int LATENCY = REACH + FIND_TIME;

  /**
   * Above this ratio (90 dB) a gain is 1 in single precision anyway; its square must stay finite.
   */
  private static final float MOST = 1e9f;

  private static final int RING = 16; // above 2 * REACH and LATENCY + FIND_TIME; a power of two

  /** Share of each smoothing's result that is the bin itself. */
  private static final float[] SHARE = new float[3];

  /** What each smoothing of noise alone passes as rarely as it may. */
  private static final float[] THRESHOLD = new float[3];

  private static final float[] THRESHOLD_AT_ENDS = new float[3];

  /** Share of that threshold that is enough beside a note. */
  private static final float[] BESIDE = new float[3];

  static {
    // The same for frames of any length, so short ones are taken to work it out.
    float[] window = Windows.hann(256);
    int hop = window.length / Resolution.OVERLAP;
    for (int s = 0; s < 3; s++) {
      SHARE[s] = (float) Overlap.share(window, hop, TIME[s], FREQUENCY[s]);
      boolean halves = s == 2;
      int frames = halves ? TIME[s] : 2 * TIME[s] + 1;
      int width = 2 * FREQUENCY[s] + 1;
      double variance = Overlap.variance(window, hop, frames, width);
      double alarm = halves ? HALF_ALARM : FALSE_ALARM;
      THRESHOLD[s] = (float) (frames * width * threshold(variance, alarm));
      // At the ends of the spectrum bins are real and mirrored ones count twice: half as many
      // values are independent.
      THRESHOLD_AT_ENDS[s] = (float) (frames * width * threshold(2 * variance, alarm));
      double beside = halves ? HALF_ALARM_BESIDE : ALARM_BESIDE;
      BESIDE[s] = (float) (threshold(variance, beside) / threshold(variance, alarm));
    }
  }

  private final int bins;
  private final float floor;

  private final float[][] ratio;
  private final float[][] two;
  private final float[][] four;
  private final float[] eight;
  private final float[][] gain;
  private final float[][] risk;
  private final float[][] found;
  private final float[][] guess;
  private final float[] near;
  private final float[] work;
  private final float[] after;
  private final BinSums sums;
  private long frame = -1;

  /**
   * @param bins bins of a frame's spectrum
   * @param floor gain where there is only noise
   */
  GainEstimator(int bins, float floor) {
    this.bins = bins;
    this.floor = floor;
    ratio = new float[RING][bins];
    two = new float[RING][bins];
    four = new float[RING][bins];
    eight = new float[bins];
    gain = new float[3][bins];
    risk = new float[3][bins];
    found = new float[RING][bins];
    guess = new float[RING][bins];
    near = new float[bins];
    work = new float[bins];
    after = new float[bins];
    sums = new BinSums(bins, FIND_FREQUENCY);
  }

  /** What a mean of 1 and the given variance, gamma distributed, passes with a probability. */
  private static double threshold(double variance, double probability) {
    return Gamma.quantileAbove(probability, 1 / variance) * variance;
  }

  /**
   * Takes the next frame and gives the gains of the one {@link #LATENCY} frames before it.
   *
   * @param ratios power over noise power of each bin; numbers of 0 or more
   * @param gains receives a gain of floor to 1 for each bin
   */
  void next(float[] ratios, float[] gains) {
    frame++;
    float[] r = at(ratio, 0);
    for (int k = 0; k < bins; k++) {
      r[k] = Math.min(ratios[k], MOST);
    }
    // Sums of 2, 4 and 8 frames. Running sums would be cheaper, but what is left after a loud note
    // has come and gone is its rounding error, far above the noise.
    add(at(ratio, 0), at(ratio, 1), at(two, 0));
    add(at(two, 0), at(two, 2), at(four, 0));
    add(at(four, 0), at(four, 4), eight);

    int centre = REACH;
    float[] s = work;
    float[] hits = at(found, centre);
    Arrays.fill(hits, 0);
    sums.box(at(ratio, centre), FREQUENCY[0], s);
    find(0, s, hits);
    judge(0, centre, s);
    add(at(two, centre - 1), at(ratio, centre + 1), s);
    sums.box(s, FREQUENCY[1], s);
    find(1, s, hits);
    judge(1, centre, s);
    // A note that starts or ends within reach is none yet, or no more: both sides must hold one.
    add(at(four, 0), at(two, 4), after);
    add(at(four, 7), at(two, 11), s);
    least(after, s, after);
    find(2, after, hits);
    add(eight, at(four, 8), s);
    add(s, at(ratio, 12), s);
    judge(2, centre, s);
    sums.dilate(hits, FIND_FREQUENCY, hits);

    mix(centre);
    gather(centre + FIND_TIME);
    finish(centre + FIND_TIME, gains);
  }

  /** The gain and the risk of one smoothing at the frame {@code ago} frames back. */
  private void judge(int which, int ago, float[] smoothed) {
    float[] r = at(ratio, ago);
    float[] g = gain[which];
    float[] u = risk[which];
    float scale = 1f / ((2 * TIME[which] + 1) * (2 * FREQUENCY[which] + 1));
    // The estimate takes the gain as given; what it owes to the bin itself costs this much more.
    float own = 2 * (SHARE[which] - 1);
    for (int k = 0; k < bins; k++) {
      float s = smoothed[k] * scale;
      float inverse = 1 / Math.max(s, 1);
      g[k] = 1 - inverse;
      u[k] = inverse * inverse * r[k] - 1 + above(s, 1) * (2 + own * inverse);
    }
    sums.box(u, RISK_FREQUENCY, u);
  }

  /** Marks the bins where a smoothing stands higher than noise does. */
  private void find(int which, float[] smoothed, float[] hits) {
    float limit = THRESHOLD[which];
    float limitAtEnds = THRESHOLD_AT_ENDS[which];
    float beside = BESIDE[which];
    for (int k = FIND_FREQUENCY; k < bins - FIND_FREQUENCY; k++) {
      hits[k] = Math.max(hits[k], hit(smoothed[k], limit, beside));
    }
    for (int k = 0; k < FIND_FREQUENCY; k++) {
      int top = bins - 1 - k;
      hits[k] = Math.max(hits[k], hit(smoothed[k], limitAtEnds, beside));
      hits[top] = Math.max(hits[top], hit(smoothed[top], limitAtEnds, beside));
    }
  }

  private static float hit(float x, float limit, float beside) {
    return above(x, limit * beside) + above(x, limit);
  }

  /** Weighs the gains by their risks and guesses the clean power. */
  private void mix(int ago) {
    // In small steps, each of which HotSpot makes vector code of; the whole in one it does not.
    least(risk[0], risk[1], work);
    least(risk[2], work, work);
    for (float[] u : risk) {
      weigh(u, work);
    }
    add(risk[0], risk[1], work);
    add(risk[2], work, work);
    float[] mixed = after;
    sumOfProducts(risk[0], gain[0], risk[1], gain[1], mixed);
    float[] w = risk[2];
    float[] g = gain[2];
    float[] r = at(ratio, ago);
    float[] x = at(guess, ago);
    for (int k = 0; k < bins; k++) {
      float mean = (mixed[k] + w[k] * g[k]) / work[k];
      x[k] = mean * mean * r[k];
    }
  }

  /** From risks to weights, in place. */
  private static void weigh(float[] risks, float[] least) {
    float scale = 1 / (RISK_SCALE * (2 * RISK_FREQUENCY + 1));
    for (int k = 0; k < risks.length; k++) {
      risks[k] = decay((risks[k] - least[k]) * scale);
    }
  }

  private static void sumOfProducts(float[] a, float[] b, float[] c, float[] d, float[] out) {
    for (int k = 0; k < out.length; k++) {
      out[k] = a[k] * b[k] + c[k] * d[k];
    }
  }

  /** Where something was found near by. */
  private void gather(int ago) {
    float[] n = near;
    float[] f0 = at(found, ago - 2);
    float[] f1 = at(found, ago - 1);
    float[] f2 = at(found, ago);
    float[] f3 = at(found, ago + 1);
    float[] f4 = at(found, ago + 2);
    for (int k = 0; k < bins; k++) {
      n[k] = Math.max(Math.max(f0[k], f1[k]), Math.max(f2[k], Math.max(f3[k], f4[k])));
    }
    boolean note = plain(at(ratio, ago));
    float least = note ? LIKELY : SURE;
    for (int k = 0; k < bins; k++) {
      n[k] = above(n[k], least - 0.5f);
    }
    if (note) {
      // Below its partials a note has the rumble of bow and body, in too few bins to be found
      // alone.
      Arrays.fill(n, 0, 2 * FIND_FREQUENCY, 1);
    }
  }

  /** Whether a note is plain to see in a frame. */
  private boolean plain(float[] r) {
    for (int k = FIND_FREQUENCY; k < bins; k++) {
      if (r[k] > PLAIN) {
        return true;
      }
    }
    return false;
  }

  private void finish(int ago, float[] gains) {
    float[] before = at(guess, ago + 1);
    float[] x = at(guess, ago);
    float[] next = at(guess, ago - 1);
    for (int k = 0; k < bins; k++) {
      // Steadier for the frames beside it, but a note that lies in only one of them is not let in.
      float mean = (before[k] + x[k] + next[k]) * (1f / 3);
      float most = 2 * x[k] + 0.5f * Math.min(before[k], next[k]);
      float clean = Math.min(mean, most);
      gains[k] = Math.max(floor, near[k] * clean / (clean + 1));
    }
  }

  /** 1 where x lies above a limit of 1 or more, else 0; HotSpot makes no vector code of choices. */
  private static float above(float x, float limit) {
    return Math.min(1, Math.max(0, (x - limit) * 1e30f));
  }

  /** e^-x for x of 0 or more, near enough to weigh with and cheap: never 0 over 0. */
  private static float decay(float x) {
    float y = Math.min(x, 1e6f);
    return 1 / (1 + y * (1 + y * (0.5f + y * (1f / 6))));
  }

  private float[] at(float[][] ring, int ago) {
    return ring[(int) (frame - ago) & (RING - 1)];
  }

  private static void least(float[] a, float[] b, float[] out) {
    for (int k = 0; k < out.length; k++) {
      out[k] = Math.min(a[k], b[k]);
    }
  }

  private static void add(float[] a, float[] b, float[] out) {
    for (int k = 0; k < out.length; k++) {
      out[k] = a[k] + b[k];
    }
  }
}
