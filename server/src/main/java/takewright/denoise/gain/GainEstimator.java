package takewright.denoise.gain;

import java.util.Arrays;
import takewright.denoise.band.BinSums;
import takewright.denoise.band.Overlap;
import takewright.denoise.band.Parts;
import takewright.denoise.band.RatioHistory;
import takewright.denoise.band.SoundDetector;
import takewright.denoise.band.SpreadFactors;
import takewright.denoise.band.StftSize;
import takewright.denoise.band.ThirdOctaves;

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
 * <p>A bin is touched by all this only where {@link SoundDetector} finds sound; elsewhere the gain
 * is the constant floor and the room sounds as it did, only softer. Frames where that is so
 * everywhere cost little more than being looked at.
 */
final class GainEstimator {
  private static final int WIDE = SoundDetector.WIDE;
  private static final int LONG = SoundDetector.LONG;

  /**
   * Reach in frames, each way, of the mean that counts within held notes: about half a second. No
   * note begins or ends there, so it need not be shared out.
   */
  private static final int HELD = 9;

  /** Share of that mean in the gain of a held note. */
  private static final float HELD_SHARE = 0.5f;

  /** Below this bin it is the whole gain, since there are too few bins to compare with. */
  private static final int HELD_ALONE = 16;

  /** Parts each way that rise and fall together, and whose risks are averaged. */
  private static final int RISE_PARTS = 4;

  private static final int RISK_PARTS = 8;

  /** Bins beyond a guess that tell of it, by how they rise and fall and by their risks. */
  private static final int REACH_OF_GUESS = (RISE_PARTS + RISK_PARTS + 1) * Parts.SIZE;

  /** Power over the noise, of many bins and frames, that a rise is measured against at least. */
  private static final float MIN_RISE = 0.02f;

  /** Difference in risk, in units of the noise power, that makes a smoothing count e times less. */
  private static final float RISK_SCALE = 0.1f;

  /** Power over the noise below which an estimate is zero. */
  private static final float NOTHING = 0.01f;

  /** Delay of the gains, in frames. */
  static final int LATENCY = Math.max(LONG + SoundDetector.REACH, HELD);

  /** Frames whose estimate is kept: a power of two above LATENCY + 1 - LONG. */
  private static final int GUESSES = 8;

  /** Frames of which it is known whether they hold a note: a power of two above LATENCY. */
  private static final int NOTES = 16;

  /** What each smoothing owes to the bin itself, in the estimate of its risk. */
  private static final float OWN_WIDE;

  private static final float OWN_LONG;

  static {
    // The same for frames of any length, so short ones are taken to work it out.
    float[] window = StftSize.window(256);
    int hop = StftSize.hop(256);
    OWN_WIDE = 2 * ((float) Overlap.share(window, hop, 0, WIDE) - 1);
    OWN_LONG = 2 * ((float) Overlap.share(window, hop, LONG, 0) - 1);
  }

  private final int bins;
  private final float floor;
  private final RatioHistory history;
  private final SoundDetector detector;
  private final BinSums sums;
  private final Parts parts;
  private final Parts longParts;
  private final PowerKeeper keeper;
  private final AfterNote afterNote;

  private final float[][] wide;
  private final float[][] guess;

  /** The frame that each guess is of. */
  private final long[] guessed = new long[GUESSES];

  private final float[] partValue;
  private final float[] longSum;
  private final float[] rise;
  private final float[] inverseWide;
  private final float[] inverseLong;
  private final float[] wideShare;
  private final float[] ofThree;
  private final float[] around;
  private final float[] steady;
  private final float[] open;
  private final float[] heldGain;

  /** Frames since no note was clearly visible. */
  private int plainFrames;

  /** By frame: whether it holds a note, one plain to see twice running or a strong one. */
  private final boolean[] notes = new boolean[NOTES];

  /** The last frame in which anything sounded, and whether a note did since it was quiet before. */
  private long lastSound;

  private boolean noteSeen;

  /**
   * @param bins bins of a frame's spectrum
   * @param floor gain where there is only noise
   * @param spreadFactors how high the room's own noise reaches
   * @param bands the bands of that, of long frames
   * @param shorter how many times shorter than those the frames are
   */
  GainEstimator(
      int bins, float floor, SpreadFactors spreadFactors, ThirdOctaves bands, int shorter) {
    this.bins = bins;
    this.floor = floor;
    history = new RatioHistory(bins);
    detector = new SoundDetector(bins, history, spreadFactors, bands, shorter);
    sums = new BinSums(bins, WIDE);
    parts = new Parts(bins);
    longParts = new Parts(bins);
    keeper = new PowerKeeper(bins);
    afterNote = new AfterNote(bins);
    wide = new float[GUESSES][bins];
    guess = new float[GUESSES][bins];
    partValue = new float[parts.count()];
    longSum = new float[bins];
    rise = new float[bins];
    inverseWide = new float[bins];
    inverseLong = new float[bins];
    wideShare = new float[bins];
    ofThree = new float[bins];
    around = new float[bins];
    steady = new float[bins];
    open = new float[bins];
    heldGain = new float[bins];
    reset();
  }

  /** Clears the state. */
  void reset() {
    history.reset();
    detector.reset();
    for (int i = 0; i < GUESSES; i++) {
      Arrays.fill(wide[i], 0);
      Arrays.fill(guess[i], 0);
    }
    Arrays.fill(guessed, Long.MIN_VALUE);
    plainFrames = 0;
    Arrays.fill(notes, false);
    lastSound = Long.MIN_VALUE / 2;
    noteSeen = false;
    afterNote.reset();
  }

  /**
   * Adds a frame and computes the gains of the one {@link #LATENCY} frames before it.
   *
   * @param ratios power over noise power of each bin; numbers of 0 or more
   * @param gains receives a gain of floor to 1 for each bin
   * @return whether any gain may be above the floor
   */
  boolean next(float[] ratios, float[] gains) {
    history.add(ratios);
    detector.find(wide[slot(LONG)]);
    boolean plain = detector.isPlain(0);
    plainFrames = plain ? plainFrames + 1 : 0;
    notes[noteSlot(0)] = plainFrames > 1 || detector.isStrong();
    notes[noteSlot(1)] |= plainFrames > 1;
    if (!detector.sounds(LATENCY) || !isOfNote()) {
      Arrays.fill(gains, floor);
      return false;
    }
    estimate(gains);
    return true;
  }

  /**
   * Whether what sounds in the frame the gains are for belongs to a note: one that is plain to see
   * now or later within the latency, or has been since it last was quiet. Else it is too faint, or
   * too faint and too short, to be told from what happens in a room. What comes up after a note is
   * closed in {@link #near}.
   */
  private boolean isOfNote() {
    long here = history.frame() - LATENCY;
    if (here > lastSound + 1) {
      noteSeen = false;
      afterNote.reset();
    }
    lastSound = here;
    int toNote = framesToNote();
    noteSeen |= toNote <= LATENCY;
    if (toNote <= 1) {
      // The frame before a note holds its beginning.
      afterNote.note();
      return true;
    }
    return noteSeen && afterNote.next(history, LATENCY, Math.min(LATENCY, toNote), detector.near());
  }

  /**
   * Frames from the one that the gains are for to the next that holds a note, 0 or more; above
   * LATENCY for none.
   */
  int framesToNote() {
    int ahead = 0;
    while (ahead <= LATENCY && !notes[noteSlot(LATENCY - ahead)]) {
      ahead++;
    }
    return ahead;
  }

  /** Power over noise power of the frame that the gains are for. */
  float[] ratios() {
    return history.ratio(LATENCY);
  }

  /**
   * Mean power over noise power of each third of an octave of the frame that the gains are for,
   * where any of them is above the floor.
   */
  float[] ofBands() {
    return keeper.ofBands();
  }

  /** 1 for each block of bins in which something sounds in that frame, else 0. */
  byte[] near() {
    return detector.near();
  }

  /** Whether a note is plain to see in the frame that the gains are for. */
  boolean isPlain() {
    return detector.isPlain(LATENCY);
  }

  /** Whether a note was plain to see in the last frame. */
  boolean isInNote() {
    return plainFrames > 0;
  }

  private int noteSlot(int ago) {
    return (int) (history.frame() - ago) & (NOTES - 1);
  }

  private int slot(int ago) {
    return (int) (history.frame() - ago) & (GUESSES - 1);
  }

  private void estimate(float[] gains) {
    float[] before = guess(LATENCY + 1);
    float[] x = guess(LATENCY);
    float[] next = guess(LATENCY - 1);
    // Beyond, nothing sounds in this frame.
    int end = detector.end(LATENCY);
    // Once more what a bin holds over three frames, shared out as three bins rise and fall; the
    // mean of that, which keeps attacks and ends, and of what is steadier.
    for (int k = 0; k < bins; k++) {
      ofThree[k] = before[k] + x[k] + next[k];
    }
    sums.box(x, 1, around);
    for (int k = 0; k < bins; k++) {
      around[k] *= ofThree[k];
    }
    sums.box(ofThree, 1, ofThree);
    steady(before, x, next, end);
    byte[] near = detector.near();
    for (int b = 0; b < near.length; b++) {
      partValue[b] = near[b];
    }
    parts.spread(partValue, open, end);
    for (int k = 0; k < end; k++) {
      float clean = 0.5f * (steady[k] + around[k] / (ofThree[k] + NOTHING));
      gains[k] = clean / (clean + 1);
    }
    if (plainFrames > 2 * HELD) {
      mixHeld(gains, end);
    }
    for (int k = 0; k < end; k++) {
      gains[k] = Math.max(floor, open[k] * gains[k]);
    }
    Arrays.fill(gains, end, bins, floor);
    keeper.raise(history.ratio(LATENCY), gains);
  }

  /** Steadier for the frames beside it, but a note that lies in only one of them is not let in. */
  private void steady(float[] before, float[] x, float[] next, int end) {
    for (int k = 0; k < end; k++) {
      float mean = (before[k] + x[k] + next[k]) * (1f / 3);
      steady[k] = Math.min(mean, 2 * x[k] + 0.5f * Math.min(before[k], next[k]));
    }
  }

  /** Puts in what a held note tells over all of the last frames. */
  private void mixHeld(float[] gains, int end) {
    // Frames 0 to 18: HELD each way.
    float[] a = history.four(0);
    float[] b = history.four(4);
    float[] c = history.four(8);
    float[] d = history.four(12);
    for (int k = 0; k < end; k++) {
      heldGain[k] = a[k] + b[k] + (c[k] + d[k]);
    }
    for (int ago = 16; ago <= 2 * HELD; ago++) {
      RatioHistory.sum(heldGain, history.ratio(ago), heldGain);
    }
    for (int k = 0; k < end; k++) {
      heldGain[k] = 1 - 1 / Math.max(heldGain[k] * (1f / (2 * HELD + 1)), 1);
    }
    System.arraycopy(heldGain, 0, gains, 0, HELD_ALONE);
    for (int k = HELD_ALONE; k < end; k++) {
      gains[k] += HELD_SHARE * (heldGain[k] - gains[k]);
    }
  }

  /** A guess of the clean power of the frame this many before the last, made when asked for. */
  private float[] guess(int ago) {
    int slot = slot(ago);
    float[] x = guess[slot];
    if (guessed[slot] != history.frame() - ago) {
      guessed[slot] = history.frame() - ago;
      makeGuess(ago, x);
    }
    return x;
  }

  private void makeGuess(int ago, float[] x) {
    // No bin beyond will be asked for, nor one so far beyond that it tells of them.
    int end = Math.min(bins, detector.end(ago) + REACH_OF_GUESS);
    // In small steps, each of which HotSpot vectorises; it does not vectorise the whole.
    float[] r = history.ratio(ago);
    float[] four = history.four(ago - 4);
    float[] fourBefore = history.four(ago);
    float[] first = history.ratio(ago + 4);
    for (int k = 0; k < end; k++) {
      longSum[k] = four[k] + fourBefore[k] + first[k];
    }
    rises(r, end);
    float[] sumOfBins = wide[slot(ago)];
    for (int k = 0; k < end; k++) {
      inverseWide[k] = 1 / Math.max(sumOfBins[k] * (1f / (2 * WIDE + 1)), 1);
    }
    // What stands above the noise is shared out as the bins around rise and fall.
    for (int k = 0; k < end; k++) {
      float mean = longSum[k] * (1f / (2 * LONG + 1));
      inverseLong[k] = 1 / (1 + Math.max(mean - 1, 0) * rise[k]);
    }
    weigh(r, end);
    for (int k = 0; k < end; k++) {
      float gain = 1 - inverseLong[k] + wideShare[k] * (inverseLong[k] - inverseWide[k]);
      x[k] = gain * gain * r[k];
    }
  }

  /** How far the bins around each one stand above what they hold over the long smoothing. */
  private void rises(float[] r, int end) {
    int count = parts.take(r, end);
    longParts.take(longSum, end);
    for (int p = 0; p < count; p++) {
      float here = Math.max(parts.mean(p, RISE_PARTS) - 1, 0);
      float usual = longParts.mean(p, RISE_PARTS) * (1f / (2 * LONG + 1)) - 1;
      partValue[p] = here / Math.max(usual, MIN_RISE);
    }
    parts.spread(partValue, rise, end);
  }

  /** The share of the wide smoothing, from how much more its risk is than that of the long one. */
  private void weigh(float[] r, int end) {
    // The estimate takes a gain as given; what it owes to the bin itself costs so much more.
    for (int k = 0; k < end; k++) {
      float a = inverseWide[k];
      float b = inverseLong[k];
      float owed = below(a) * (2 + OWN_WIDE * a) - below(b) * (2 + OWN_LONG * b);
      wideShare[k] = (a * a - b * b) * r[k] + owed;
    }
    int count = parts.take(wideShare, end);
    for (int p = 0; p < count; p++) {
      float more = parts.mean(p, RISK_PARTS) / RISK_SCALE;
      float lesser = decay(Math.abs(more));
      lesser /= 1 + lesser;
      partValue[p] = more > 0 ? lesser : 1 - lesser;
    }
    parts.spread(partValue, wideShare, end);
  }

  /** 1 where x lies below 1, else 0; HotSpot makes no vector code of choices. */
  private static float below(float x) {
    return Math.min(1, (1 - x) * 1e30f);
  }

  /** A cheap approximation of e^-x for x of 0 or more, good enough for weights; never 0. */
  private static float decay(float x) {
    float y = Math.min(x, 1e6f);
    return 1 / (1 + y * (1 + y * (0.5f + y * (1f / 6))));
  }
}
