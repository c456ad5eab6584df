package takewright.denoise;

import java.util.Arrays;

/**
 * The gain of every bin of every frame, from how far its power stands above the noise.
 *
 * <p>Let R be a bin's power over the power of the noise there. Where R is smoothed to S, the signal
 * is about S - 1 times the noise, and the Wiener gain that leaves the least error is 1 - 1/S. Which
 * smoothing is right depends on the sound (past and future frames alike: nothing here is in a
 * hurry). Bow noise and attacks want many bins of one frame. A note's partials want many frames of
 * one bin; but a note swells and dies away, so what a bin held over those frames is shared out
 * among them as the bins around it rise and fall. The two gains are weighed by their risks, as
 * Stein's unbiased estimate tells them without knowing the clean sound (C. Stein, "Estimation of
 * the mean of a multivariate normal distribution", Annals of Statistics 9, 1981; weights
 * exponential in the risk after G. Leung and A. Barron, "Information theory and mixing
 * least-squares regressions", IEEE Trans. Information Theory 52, 2006). The mixed gain makes a
 * first guess of the clean power, and that guess makes the final Wiener gain, which is sharper than
 * a smoothed one (the "empirical Wiener filter" of S. Ghael, A. Sayeed and R. Baraniuk, Proc. SPIE
 * 3169, 1997). Within a held note half of the gain is what a second of its frames tells.
 *
 * <p>Noise alone also throws up peaks, and a gain that follows them makes musical noise. So a bin
 * is touched by all this only where some smoothing near it stands higher than noise does once in a
 * hundred million; elsewhere the gain is the constant floor and the room sounds as it did, only
 * softer. Frames where that is so everywhere cost little more than being looked at.
 */
final class GainEstimator {
  /** Reach in bins of the smoothing of one frame, and in frames of the other, each way. */
  private static final int WIDE = 8;

  private static final int LONG = 4;

  /** Reach of the smoothings that something is found by, in frames and in bins. */
  private static final int[] TIME = {0, 1, LONG};

  private static final int[] FREQUENCY = {WIDE, 1, 0};

  /**
   * Reach in frames, each way, of the mean that counts within held notes: about half a second. No
   * note begins or ends there, so it need not be shared out.
   */
  private static final int HELD = 9;

  /** Share of that mean in the gain of a held note. */
  private static final float HELD_SHARE = 0.5f;

  /** Bins below which it is the whole gain: too few to tell from what is around them. */
  private static final int HELD_ALONE = 16;

  /** Bins that rise and fall together and whose risks are averaged: a part, and parts each way. */
  private static final int PART = 8;

  private static final int RISE_PARTS = 4;

  private static final int RISK_PARTS = 8;

  /** Power over the noise, of many bins and frames, that a rise is measured against at least. */
  private static final float LEAST_RISE = 0.02f;

  /** Difference in risk, in units of the noise power, that makes a smoothing count e times less. */
  private static final float RISK_SCALE = 0.1f;

  /** Power over the noise below which a guess is nothing. */
  private static final float NOTHING = 0.01f;

  /** Reach of a find in frames: those that the start of a sound is spread over. */
  private static final int FIND_TIME = 1;

  /** Bins of a block in which something is found or not; a find holds for a block each way too. */
  private static final int BLOCK = PART;

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
  private static final byte SURE = 2;

  private static final byte LIKELY = 1;

  /**
   * A bin stands so high over noise once in a hundred million frames: exp(-27) times 4097. What is
   * taken for a note opens the lowest bins, so a wrong one is a thump in the room.
   */
  private static final float PLAIN = 27;

  /** A gain belongs to the frame pushed so many frames before. */
  static final int LATENCY = Math.max(LONG + FIND_TIME, HELD);

  /**
   * Above this ratio (90 dB) a gain is 1 in single precision anyway; its square must stay finite.
   */
  private static final float MOST = 1e9f;

  // Frames kept, powers of two. Each note that is cleaned makes them anew, so none is longer than
  // what is asked for.
  private static final int RATIOS = 32; // above 2 * HELD
  private static final int TWOS = 4; // above LONG - 1
  private static final int FOURS = 16; // above 2 * HELD - 4 - 2
  private static final int FINDS = 16; // above LATENCY + FIND_TIME
  private static final int GUESSES = 8; // above LATENCY + 1 - LONG

  /** What each smoothing owes to the bin itself, in the estimate of its risk. */
  private static final float OWN_WIDE;

  private static final float OWN_LONG;

  /** What each smoothing of noise alone passes as rarely as it may. */
  private static final float[] THRESHOLD = new float[3];

  private static final float[] THRESHOLD_AT_ENDS = new float[3];

  /** Share of that threshold that is enough beside a note. */
  private static final float[] BESIDE = new float[3];

  static {
    // The same for frames of any length, so short ones are taken to work it out.
    float[] window = Resolution.window(256);
    int hop = Resolution.hop(256);
    OWN_WIDE = 2 * ((float) Overlap.share(window, hop, 0, WIDE) - 1);
    OWN_LONG = 2 * ((float) Overlap.share(window, hop, LONG, 0) - 1);
    for (int s = 0; s < 3; s++) {
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
  private final float[][] wide;
  private final float[][] guess;

  /** The frame that each guess is of. */
  private final long[] guessed = new long[GUESSES];

  private final byte[][] found;
  private final byte[] near;
  private final float[] work;
  private final float[] other;
  private final float[] inverseWide;
  private final float[] inverseLong;
  private final float[] partRatio;
  private final float[] partLong;
  private final float[] partValue;
  private final BinSums sums;
  private long frame;

  /** Frames since a note was last not plain to see. */
  private int plainFrames;

  /**
   * @param bins bins of a frame's spectrum
   * @param floor gain where there is only noise
   */
  GainEstimator(int bins, float floor) {
    this.bins = bins;
    this.floor = floor;
    ratio = new float[RATIOS][bins];
    two = new float[TWOS][bins];
    four = new float[FOURS][bins];
    wide = new float[GUESSES][bins];
    guess = new float[GUESSES][bins];
    int blocks = (bins + BLOCK - 1) / BLOCK;
    found = new byte[FINDS][blocks];
    near = new byte[blocks];
    work = new float[bins];
    other = new float[bins];
    inverseWide = new float[bins];
    inverseLong = new float[bins];
    partRatio = new float[(bins + PART - 1) / PART];
    partLong = new float[partRatio.length];
    partValue = new float[partRatio.length];
    sums = new BinSums(bins, WIDE);
    reset();
  }

  /** As if nothing had been heard yet. */
  void reset() {
    for (float[][] ring : new float[][][] {ratio, two, four, wide, guess}) {
      for (float[] values : ring) {
        Arrays.fill(values, 0);
      }
    }
    for (byte[] values : found) {
      Arrays.fill(values, (byte) 0);
    }
    Arrays.fill(guessed, Long.MIN_VALUE);
    frame = -1;
    plainFrames = 0;
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
   * @return whether any gain may be above the floor
   */
  boolean next(float[] ratios, float[] gains) {
    frame++;
    float[] r = at(ratio, 0);
    for (int k = 0; k < bins; k++) {
      r[k] = Math.min(ratios[k], MOST);
    }
    // Sums of 2 and 4 frames, of which longer ones are made. Running sums would be cheaper, but
    // what
    // is left after a loud note has come and gone is its rounding error, far above the noise.
    add(r, at(ratio, 1), at(two, 0));
    add(at(two, 0), at(two, 2), at(four, 0));
    plainFrames = plain(r) ? plainFrames + 1 : 0;
    find();
    return finish(LATENCY, gains);
  }

  /** Looks for sound in the frame that has as many frames after it as before. */
  private void find() {
    byte[] hits = at(found, LONG);
    Arrays.fill(hits, (byte) 0);
    float[] smoothed = at(wide, LONG);
    sums.box(at(ratio, LONG), WIDE, smoothed);
    find(0, smoothed, hits);
    add(at(two, LONG - 1), at(ratio, LONG + 1), work);
    sums.box(work, 1, work);
    find(1, work, hits);
    // A note that starts or ends within reach is none yet, or no more: both sides must hold one.
    least(at(four, 0), at(four, LONG + 1), work);
    find(2, work, hits);
    // One block further each way: the main lobe of a partial.
    byte last = 0;
    for (int b = 0; b < hits.length; b++) {
      byte here = hits[b];
      byte next = b + 1 < hits.length ? hits[b + 1] : 0;
      hits[b] = (byte) Math.max(here, Math.max(last, next));
      last = here;
    }
  }

  /** Marks the blocks where a smoothing stands higher than noise does. */
  private void find(int which, float[] smoothed, byte[] hits) {
    for (int b = 0; b < hits.length; b++) {
      if (hits[b] < SURE) {
        int from = b * BLOCK;
        int to = Math.min(bins, from + BLOCK);
        float limit = b == 0 || to > bins - BLOCK ? THRESHOLD_AT_ENDS[which] : THRESHOLD[which];
        float beside = limit * BESIDE[which];
        for (int k = from; k < to; k++) {
          if (smoothed[k] > beside) {
            hits[b] = smoothed[k] > limit ? SURE : (byte) Math.max(hits[b], LIKELY);
            if (hits[b] == SURE) {
              break;
            }
          }
        }
      }
    }
  }

  /** The gains of the frame {@code ago} frames back; whether there is any but the floor. */
  private boolean finish(int ago, float[] gains) {
    if (!gather(ago)) {
      Arrays.fill(gains, floor);
      return false;
    }
    float[] before = guess(ago + 1);
    float[] x = guess(ago);
    float[] next = guess(ago - 1);
    // Once more what a bin holds over three frames, shared out as three bins rise and fall; the
    // mean
    // of that, which keeps attacks and ends, and of what is steadier.
    float[] sum = work;
    for (int k = 0; k < bins; k++) {
      sum[k] = before[k] + x[k] + next[k];
    }
    float[] around = other;
    sums.box(x, 1, around);
    times(sum, around);
    sums.box(sum, 1, sum);
    float[] steady = inverseLong;
    steady(before, x, next, steady);
    for (int k = 0; k < bins; k++) {
      steady[k] = 0.5f * (steady[k] + around[k] / (sum[k] + NOTHING));
    }
    float[] open = inverseWide;
    for (int b = 0; b < near.length; b++) {
      partValue[b] = near[b];
    }
    spread(partValue, open);
    for (int k = 0; k < bins; k++) {
      float clean = steady[k];
      gains[k] = clean / (clean + 1);
    }
    if (plainFrames > 2 * HELD) {
      mixHeld(gains);
    }
    for (int k = 0; k < bins; k++) {
      gains[k] = Math.max(floor, open[k] * gains[k]);
    }
    return true;
  }

  /** Puts in what a held note tells over all of the last frames. */
  private void mixHeld(float[] gains) {
    // Frames 0 to 18: HELD each way.
    float[] held = work;
    sum(at(four, 0), at(four, 4), at(four, 8), at(four, 12), held);
    add(held, at(ratio, 16), held);
    add(held, at(ratio, 17), held);
    add(held, at(ratio, 18), held);
    inverse(held, 1f / (2 * HELD + 1), held);
    for (int k = 0; k < HELD_ALONE; k++) {
      gains[k] = 1 - held[k];
    }
    for (int k = HELD_ALONE; k < bins; k++) {
      gains[k] += HELD_SHARE * (1 - held[k] - gains[k]);
    }
  }

  /** Steadier for the frames beside it, but a note that lies in only one of them is not let in. */
  private static void steady(float[] before, float[] x, float[] next, float[] out) {
    for (int k = 0; k < out.length; k++) {
      float mean = (before[k] + x[k] + next[k]) * (1f / 3);
      out[k] = Math.min(mean, 2 * x[k] + 0.5f * Math.min(before[k], next[k]));
    }
  }

  /** Where something was found near by; whether anything was. */
  private boolean gather(int ago) {
    byte[] n = near;
    System.arraycopy(at(found, ago), 0, n, 0, n.length);
    for (int d = 1; d <= FIND_TIME; d++) {
      byte[] before = at(found, ago + d);
      byte[] after = at(found, ago - d);
      for (int b = 0; b < n.length; b++) {
        n[b] = (byte) Math.max(n[b], Math.max(before[b], after[b]));
      }
    }
    int most = 0;
    for (byte found : n) {
      most = Math.max(most, found);
    }
    if (most == 0) {
      return false;
    }
    boolean note = plain(at(ratio, ago));
    int least = note ? LIKELY : SURE;
    for (int b = 0; b < n.length; b++) {
      n[b] = (byte) (n[b] >= least ? 1 : 0);
    }
    if (note) {
      // Below its partials a note has the rumble of bow and body, in too few bins to be found
      // alone.
      Arrays.fill(n, 0, 2, (byte) 1);
    }
    return note || most >= least;
  }

  /** Whether a note is plain to see in a frame. */
  private boolean plain(float[] r) {
    for (int k = BLOCK; k < bins; k++) {
      if (r[k] > PLAIN) {
        return true;
      }
    }
    return false;
  }

  /** A guess of the clean power of the frame {@code ago} frames back, made when asked for. */
  private float[] guess(int ago) {
    int slot = (int) (frame - ago) & (GUESSES - 1);
    float[] x = guess[slot];
    if (guessed[slot] != frame - ago) {
      guessed[slot] = frame - ago;
      makeGuess(ago, x);
    }
    return x;
  }

  private void makeGuess(int ago, float[] x) {
    // In small steps, each of which HotSpot makes vector code of; the whole in one it does not.
    float[] r = at(ratio, ago);
    float[] held = work;
    add(at(four, ago - 4), at(four, ago), held);
    add(held, at(ratio, ago + 4), held);
    float[] rise = other;
    rises(r, held, rise);
    inverse(at(wide, ago), 1f / (2 * WIDE + 1), inverseWide);
    inverse(held, 1f / (2 * LONG + 1), rise, inverseLong);
    float[] share = other;
    differences(r, inverseWide, inverseLong, share);
    weigh(share);
    mix(r, inverseWide, inverseLong, share, x);
  }

  /** How far the bins around each one stand above what they hold over the long smoothing. */
  private void rises(float[] r, float[] held, float[] out) {
    partSums(r, partRatio);
    partSums(held, partLong);
    for (int p = 0; p < partRatio.length; p++) {
      float here = Math.max(mean(partRatio, p, RISE_PARTS) - 1, 0);
      float usual = mean(partLong, p, RISE_PARTS) * (1f / (2 * LONG + 1)) - 1;
      partValue[p] = here / Math.max(usual, LEAST_RISE);
    }
    spread(partValue, out);
  }

  /** The inverse of a smoothing, at most 1. */
  private void inverse(float[] smoothed, float scale, float[] out) {
    for (int k = 0; k < bins; k++) {
      out[k] = 1 / Math.max(smoothed[k] * scale, 1);
    }
  }

  /** The same with what stands above 1 shared out. */
  private void inverse(float[] smoothed, float scale, float[] rise, float[] out) {
    for (int k = 0; k < bins; k++) {
      out[k] = 1 / (1 + Math.max(smoothed[k] * scale - 1, 0) * rise[k]);
    }
  }

  /** How much more the risk of the wide smoothing is than that of the long one. */
  private void differences(float[] r, float[] byWide, float[] byLong, float[] out) {
    // The estimate takes a gain as given; what it owes to the bin itself costs so much more.
    for (int k = 0; k < bins; k++) {
      float a = byWide[k];
      float b = byLong[k];
      float owed = below(a) * (2 + OWN_WIDE * a) - below(b) * (2 + OWN_LONG * b);
      out[k] = (a * a - b * b) * r[k] + owed;
    }
  }

  /** From differences in risk to the share of the wide smoothing, in place. */
  private void weigh(float[] differences) {
    partSums(differences, partRatio);
    for (int p = 0; p < partRatio.length; p++) {
      float more = mean(partRatio, p, RISK_PARTS) / RISK_SCALE;
      float lesser = decay(Math.abs(more));
      lesser /= 1 + lesser;
      partValue[p] = more > 0 ? lesser : 1 - lesser;
    }
    spread(partValue, differences);
  }

  private void mix(float[] r, float[] byWide, float[] byLong, float[] share, float[] x) {
    for (int k = 0; k < bins; k++) {
      float gain = 1 - byLong[k] + share[k] * (byLong[k] - byWide[k]);
      x[k] = gain * gain * r[k];
    }
  }

  private void partSums(float[] v, float[] out) {
    int whole = bins / PART;
    for (int p = 0; p < whole; p++) {
      int k = p * PART;
      // PART of them, in pairs: none has to wait long for another.
      out[p] =
          ((v[k] + v[k + 1]) + (v[k + 2] + v[k + 3]))
              + ((v[k + 4] + v[k + 5]) + (v[k + 6] + v[k + 7]));
    }
    for (int p = whole; p < out.length; p++) {
      out[p] = 0;
      for (int k = p * PART; k < bins; k++) {
        out[p] += v[k];
      }
    }
  }

  /** The mean over the bins of a part and those beside it. */
  private float mean(float[] parts, int middle, int reach) {
    int from = Math.max(0, middle - reach);
    int to = Math.min(parts.length, middle + reach + 1);
    float sum = 0;
    for (int p = from; p < to; p++) {
      sum += parts[p];
    }
    return sum / (Math.min(bins, to * PART) - from * PART);
  }

  /** Gives every bin the value of its part. */
  private void spread(float[] parts, float[] out) {
    int whole = bins / PART;
    for (int p = 0; p < whole; p++) {
      float value = parts[p];
      int k = p * PART;
      // PART of them.
      out[k] = value;
      out[k + 1] = value;
      out[k + 2] = value;
      out[k + 3] = value;
      out[k + 4] = value;
      out[k + 5] = value;
      out[k + 6] = value;
      out[k + 7] = value;
    }
    if (whole < parts.length) {
      Arrays.fill(out, whole * PART, bins, parts[whole]);
    }
  }

  /** 1 where x lies below 1, else 0; HotSpot makes no vector code of choices. */
  private static float below(float x) {
    return Math.min(1, (1 - x) * 1e30f);
  }

  /** e^-x for x of 0 or more, near enough to weigh with and cheap: never 0 over 0. */
  private static float decay(float x) {
    float y = Math.min(x, 1e6f);
    return 1 / (1 + y * (1 + y * (0.5f + y * (1f / 6))));
  }

  private float[] at(float[][] ring, int ago) {
    return ring[(int) (frame - ago) & (ring.length - 1)];
  }

  private byte[] at(byte[][] ring, int ago) {
    return ring[(int) (frame - ago) & (ring.length - 1)];
  }

  private static void least(float[] a, float[] b, float[] out) {
    for (int k = 0; k < out.length; k++) {
      out[k] = Math.min(a[k], b[k]);
    }
  }

  private static void sum(float[] a, float[] b, float[] c, float[] d, float[] out) {
    for (int k = 0; k < out.length; k++) {
      out[k] = a[k] + b[k] + (c[k] + d[k]);
    }
  }

  private static void add(float[] a, float[] b, float[] out) {
    for (int k = 0; k < out.length; k++) {
      out[k] = a[k] + b[k];
    }
  }

  /** In place, in the second. */
  private static void times(float[] a, float[] b) {
    for (int k = 0; k < b.length; k++) {
      b[k] *= a[k];
    }
  }
}
