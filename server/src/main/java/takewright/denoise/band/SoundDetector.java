package takewright.denoise.band;

import java.util.Arrays;
import java.util.List;

/**
 * Says where in the spectrum something sounds that is not the room.
 *
 * <p>Noise alone throws up peaks, and a gain that follows them makes musical noise. So a bin counts
 * as sound only where some average near it stands higher than the room's noise does once in a
 * hundred million: an average over many bins of one frame, over few bins and frames, or over many
 * frames of one bin. {@link SpreadFactors} say how high this room reaches.
 */
public final class SoundDetector {
  /** Reach in bins of the average over one frame, and in frames of the one over a bin, each way. */
  public static final int WIDE = 8;

  public static final int LONG = 4;

  /** Kinds of averages. */
  private static final int OF_FRAME = 0;

  private static final int OF_BOX = 1;
  private static final int OF_BIN = 2;

  /** Reach of each kind, in frames and in bins. */
  private static final int[] FRAMES = {0, 1, LONG};

  private static final int[] BINS = {WIDE, 1, 0};

  /** Reach of a find in frames: those that the start of a sound is spread over. */
  public static final int REACH = 1;

  /** Bins of a block in which something is found or not; a find holds for a block each way too. */
  private static final int BLOCK = Parts.SIZE;

  /** How often an average of noise alone may pass for sound. */
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

  /**
   * Of this many times that power, a sound is a note even if it is over at once. What clatters in
   * recorded rooms stays below 4 times.
   */
  private static final float STRONG = 10;

  /** Blocks below which a note has rumble of bow and body: 94 Hz at 48 kHz. */
  private static final int LOW_BLOCKS = 2;

  /** Frames of finds that are kept: a power of two above the latency of the gains and the reach. */
  private static final int FINDS = 16;

  /** What Gaussian noise alone passes as rarely as it may, as a sum; and its variance. */
  private static final float[] THRESHOLD = new float[3];

  private static final float[] THRESHOLD_AT_ENDS = new float[3];
  private static final double[] VARIANCE = new double[3];

  /** Share of that threshold that is enough beside a note. */
  private static final float[] BESIDE = new float[3];

  static {
    // The same for frames of any length, so short ones are taken to work it out.
    float[] window = StftSize.window(256);
    int hop = StftSize.hop(256);
    for (int s = 0; s < 3; s++) {
      boolean halves = s == OF_BIN;
      int frames = halves ? FRAMES[s] : 2 * FRAMES[s] + 1;
      int width = 2 * BINS[s] + 1;
      double variance = Overlap.variance(window, hop, frames, width);
      double alarm = halves ? HALF_ALARM : FALSE_ALARM;
      VARIANCE[s] = variance;
      THRESHOLD[s] = (float) (frames * width * threshold(variance, alarm));
      // At the ends of the spectrum bins are real and mirrored ones count twice: half as many
      // values are independent.
      THRESHOLD_AT_ENDS[s] = (float) (frames * width * threshold(2 * variance, alarm));
      double beside = halves ? HALF_ALARM_BESIDE : ALARM_BESIDE;
      BESIDE[s] = (float) (threshold(variance, beside) / threshold(variance, alarm));
    }
  }

  private final int bins;
  private final RatioHistory history;
  private final BinSums sums;

  /** By kind and block. */
  private final float[][] limits;

  /** The same beside a note. */
  private final float[][] besideLimits;

  private final float[] plain;
  private final byte[][] found;
  private final boolean[] plainNote = new boolean[FINDS];
  private final byte[] near;
  private final float[] box;
  private final float[] lesserHalf;

  /**
   * @param history the frames, which the caller adds to
   * @param spreadFactors how high the room's own noise reaches, by bands of long frames
   * @param bands those bands
   * @param shorter how many times shorter than those the frames are
   */
  public SoundDetector(
      int bins,
      RatioHistory history,
      SpreadFactors spreadFactors,
      ThirdOctaves bands,
      int shorter) {
    this.bins = bins;
    this.history = history;
    sums = new BinSums(bins, WIDE);
    int blocks = (bins + BLOCK - 1) / BLOCK;
    limits = new float[3][blocks];
    besideLimits = new float[3][blocks];
    plain = new float[blocks];
    for (int s = 0; s < 3; s++) {
      for (int b = 0; b < blocks; b++) {
        int from = b * BLOCK;
        int to = Math.min(bins, from + BLOCK);
        float limit = b == 0 || to > bins - BLOCK ? THRESHOLD_AT_ENDS[s] : THRESHOLD[s];
        float below = spreadFactors.of(s, bands.of(from * shorter));
        float above = spreadFactors.of(s, bands.of((to - 1) * shorter));
        float factor = Math.max(below, above);
        limits[s][b] = limit * factor;
        // What the room lets through there is hidden by the note, and half as many dB are enough.
        besideLimits[s][b] = limit * BESIDE[s] * (float) Math.sqrt(factor);
      }
    }
    for (int b = 0; b < blocks; b++) {
      int to = Math.min(bins, (b + 1) * BLOCK);
      float below = spreadFactors.of(SpreadFactors.SINGLE, bands.of(b * BLOCK * shorter));
      float above = spreadFactors.of(SpreadFactors.SINGLE, bands.of((to - 1) * shorter));
      plain[b] = PLAIN * Math.max(below, above);
    }
    found = new byte[FINDS][blocks];
    near = new byte[blocks];
    box = new float[bins];
    lesserHalf = new float[bins];
  }

  /** What a mean of 1 and the given variance, gamma distributed, passes with a probability. */
  private static double threshold(double variance, double probability) {
    return Gamma.quantileAbove(probability, 1 / variance) * variance;
  }

  /** Reach in frames, each way, of a kind of average. */
  public static int frames(int kind) {
    return FRAMES[kind];
  }

  /** Variance of a kind of average over Gaussian noise of mean 1. */
  public static double variance(int kind) {
    return kind == SpreadFactors.SINGLE ? 1 : VARIANCE[kind];
  }

  /** The averages of one kind around a frame of many. */
  public static void average(int kind, List<float[]> ratios, int frame, BinSums sums, float[] out) {
    int reach = kind == SpreadFactors.SINGLE ? 0 : FRAMES[kind];
    if (kind == SpreadFactors.SINGLE) {
      System.arraycopy(ratios.get(frame), 0, out, 0, out.length);
    } else if (kind == OF_BIN) {
      for (int k = 0; k < out.length; k++) {
        float before = 0;
        float after = 0;
        for (int i = 1; i <= reach; i++) {
          before += ratios.get(frame - i)[k];
          after += ratios.get(frame + i)[k];
        }
        out[k] = Math.min(before, after) / reach;
      }
    } else {
      Arrays.fill(out, 0);
      for (int i = -reach; i <= reach; i++) {
        RatioHistory.sum(out, ratios.get(frame + i), out);
      }
      sums.box(out, BINS[kind], out);
      float share = 1f / ((2 * reach + 1) * (2 * BINS[kind] + 1));
      for (int k = 0; k < out.length; k++) {
        out[k] *= share;
      }
    }
  }

  /** Clears the state. */
  public void reset() {
    for (byte[] values : found) {
      Arrays.fill(values, (byte) 0);
    }
    Arrays.fill(plainNote, false);
  }

  /**
   * Looks for sound in the frame that has as many frames after it as before.
   *
   * @param wide receives the sums of that frame over {@link #WIDE} bins each way
   */
  public void find(float[] wide) {
    plainNote[slot(0)] = seesNote(history.ratio(0), 1);
    byte[] hits = found(LONG);
    Arrays.fill(hits, (byte) 0);
    sums.box(history.ratio(LONG), WIDE, wide);
    find(OF_FRAME, wide, hits);
    RatioHistory.sum(history.two(LONG - 1), history.ratio(LONG + 1), box);
    sums.box(box, 1, box);
    find(OF_BOX, box, hits);
    // A note that starts or ends within reach is none yet, or no more: both sides must hold one.
    float[] after = history.four(0);
    float[] before = history.four(LONG + 1);
    for (int k = 0; k < bins; k++) {
      lesserHalf[k] = Math.min(before[k], after[k]);
    }
    find(OF_BIN, lesserHalf, hits);
    // One block further each way: the main lobe of a partial.
    byte last = 0;
    for (int b = 0; b < hits.length; b++) {
      byte here = hits[b];
      byte next = b + 1 < hits.length ? hits[b + 1] : 0;
      hits[b] = (byte) Math.max(here, Math.max(last, next));
      last = here;
    }
  }

  /** Marks the blocks where an average stands higher than noise does. */
  private void find(int kind, float[] averages, byte[] hits) {
    for (int b = 0; b < hits.length; b++) {
      float beside = besideLimits[kind][b];
      if (hits[b] < SURE && passes(averages, b, beside)) {
        float limit = Math.max(beside, limits[kind][b]);
        hits[b] = passes(averages, b, limit) ? SURE : (byte) Math.max(hits[b], LIKELY);
      }
    }
  }

  private boolean passes(float[] values, int block, float limit) {
    return Parts.passes(values, bins, block, limit);
  }

  /**
   * Whether anything sounds in the frame this many before the last; then {@link #near} says where.
   */
  public boolean sounds(int ago) {
    System.arraycopy(found(ago), 0, near, 0, near.length);
    for (int d = 1; d <= REACH; d++) {
      byte[] before = found(ago + d);
      byte[] after = found(ago - d);
      for (int b = 0; b < near.length; b++) {
        near[b] = (byte) Math.max(near[b], Math.max(before[b], after[b]));
      }
    }
    int maxHits = 0;
    for (byte hit : near) {
      maxHits = Math.max(maxHits, hit);
    }
    if (maxHits == 0) {
      return false;
    }
    boolean note = isPlain(ago);
    int threshold = note ? LIKELY : SURE;
    for (int b = 0; b < near.length; b++) {
      near[b] = (byte) (near[b] >= threshold ? 1 : 0);
    }
    if (note) {
      // Below its partials a note has the rumble of bow and body, in too few bins to be found
      // alone.
      Arrays.fill(near, 0, LOW_BLOCKS, (byte) 1);
    }
    return note || maxHits >= threshold;
  }

  /**
   * One beyond the last bin that {@link #near} can name in the frame this many before the last, or
   * in the one before or after that.
   */
  public int end(int ago) {
    int end = LOW_BLOCKS;
    for (int d = -REACH - 1; d <= REACH + 1; d++) {
      byte[] hits = found(ago + d);
      int b = hits.length;
      while (b > end && hits[b - 1] == 0) {
        b--;
      }
      end = Math.max(end, b);
    }
    return Math.min(bins, end * BLOCK);
  }

  /** 1 for each block in which something sounds, else 0. */
  public byte[] near() {
    return near;
  }

  /** Whether a note is plain to see in the frame this many before the last. */
  public boolean isPlain(int ago) {
    return plainNote[slot(ago)];
  }

  /** Whether a note stands so high in the last frame that it need not last. */
  public boolean isStrong() {
    return isPlain(0) && seesNote(history.ratio(0), STRONG);
  }

  private boolean seesNote(float[] r, float above) {
    for (int b = 1; b < plain.length; b++) {
      if (passes(r, b, above * plain[b])) {
        return true;
      }
    }
    return false;
  }

  private byte[] found(int ago) {
    return found[slot(ago)];
  }

  private int slot(int ago) {
    return (int) (history.frame() - ago) & (FINDS - 1);
  }
}
