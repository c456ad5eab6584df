package takewright.denoise.gain;

import java.util.Arrays;
import takewright.denoise.band.Gamma;
import takewright.denoise.band.Overlap;
import takewright.denoise.band.SpreadFactors;
import takewright.denoise.band.ThirdOctaves;
import takewright.dsp.Fft;
import takewright.dsp.Windows;

/**
 * Finds the beginning of a note in a stretch of room tone.
 *
 * <p>The frames that make the gains are long: one that holds the start of a note also holds 150 ms
 * before it, and the note's gains let that much noise through, swelling up ahead of the attack.
 * Looked at through frames of an eighth of the length, the start is found within some milliseconds,
 * and the room can be kept at its floor until then.
 */
final class AttackFinder {
  /** Ratio of the lengths of long and short frames. */
  static final int SHORTER = 8;

  /** Short frames that cover each sample: one every 2.7 ms. */
  private static final int COVER = 8;

  /** Widths of the watched bands, in bins: a partial, or the noise of a bow. */
  private static final int[] WIDTHS = {1, 4, 16, 64};

  /** Bands of one width that make one of the next. */
  private static final int NARROWER = 4;

  /** Probability that noise alone passes for a note, in one band of one frame. */
  private static final double FALSE_ALARM = 1e-7;

  /** Thresholds for that probability, by width; the same for frames of any length. */
  private static final float[] THRESHOLDS = new float[WIDTHS.length];

  static {
    float[] shape = Windows.hann(256);
    for (int i = 0; i < WIDTHS.length; i++) {
      double variance = Overlap.variance(shape, 1, 1, WIDTHS[i]);
      THRESHOLDS[i] =
          (float) (WIDTHS[i] * variance * Gamma.quantileAbove(FALSE_ALARM, 1 / variance));
    }
  }

  /** Quiet that parts one sound from the next, in seconds. */
  private static final double APART_S = 0.08;

  /** Quiet that parts a faint sound from a note that stands far above it, in seconds. */
  private static final double CLOSE_S = 0.02;

  /** What sounds for longer than this is no clatter, in seconds. */
  private static final double LASTS_S = 0.16;

  /** Factors by which a note stands higher than what clatters before it: apart, and close to it. */
  private static final float STRONGER = 2;

  private static final float MUCH_STRONGER = 100;

  /** What stands at this multiple of its threshold belongs to a note, however short it is. */
  private static final float NOTE = 100;

  /** What never stands at this multiple of its threshold and is soon over is no note, alone. */
  private static final float FAINT = 10;

  /** A tail that comes and goes stays below this multiple of its threshold. */
  private static final float RISES = 2;

  /**
   * How far the noise of each bin of a long frame counts for that of a short one around it, by
   * distance in long bins: the power of the short window's main lobe and of the next two on either
   * side.
   */
  private static final double[] LOBES = new double[6 * SHORTER + 1];

  private static final double ALL_LOBES;

  static {
    double all = 0;
    for (int i = 0; i < LOBES.length; i++) {
      int d = i - LOBES.length / 2;
      double x = (double) d / SHORTER;
      double hann = d == 0 ? 1 : Math.abs(d) == SHORTER ? 0.5 : sinc(x) / (1 - x * x);
      LOBES[i] = hann * hann;
      all += LOBES[i];
    }
    ALL_LOBES = all;
  }

  private final int sampleRate;
  private final int size;
  private final int hop;
  private final float[] window;
  private final float[] inverseNoise;

  /** By width and band: what noise alone does not pass there. */
  private final float[][] limits = new float[WIDTHS.length][];

  private final float[] packed;
  private final float[] single;
  private final float[] ratios;

  /** Sums of them over the bands of a width. */
  private final float[] sums;

  /** The highest that was heard before the attack that was found last. */
  private float skipped;

  private float loudest;

  /** Whether anything that was heard then lasts. */
  private boolean isLasting;

  /**
   * @param bins bins of a long frame
   * @param spreadFactors how high the room's own noise reaches, by bands of long frames
   */
  AttackFinder(int sampleRate, int bins, SpreadFactors spreadFactors, ThirdOctaves bands) {
    this.sampleRate = sampleRate;
    size = 2 * (bins - 1) / SHORTER;
    hop = size / COVER;
    window = Windows.hann(size);
    inverseNoise = new float[size / 2 + 1];
    for (int i = 0; i < WIDTHS.length; i++) {
      // Bands begin at bin 2.
      limits[i] = new float[(inverseNoise.length - 3) / WIDTHS[i]];
      for (int band = 0; band < limits[i].length; band++) {
        int middle = 2 + band * WIDTHS[i] + WIDTHS[i] / 2;
        limits[i][band] = THRESHOLDS[i] * spreadFactors.largest(bands.of(middle * SHORTER));
      }
    }
    packed = new float[size];
    single = new float[size / 2 + 1];
    ratios = new float[size / 2 + 1];
    sums = new float[limits[0].length];
  }

  /**
   * Takes the noise power of the bins of a long frame under a Hann window, all channels together.
   */
  void expect(float[] noise) {
    for (int m = 0; m < inverseNoise.length; m++) {
      inverseNoise[m] = (float) (1 / Math.max(seen(noise, m), 1e-20));
    }
  }

  /** The noise in bin m of a short frame, where hum spreads over more hertz. */
  private static double seen(float[] noise, int m) {
    double sum = 0;
    int first = m * SHORTER - LOBES.length / 2;
    for (int i = 0; i < LOBES.length; i++) {
      sum += LOBES[i] * noise[Math.min(Math.abs(first + i), noise.length - 1)];
    }
    // A frame of 1/SHORTER the length holds as much less of the noise.
    return sum / ALL_LOBES / SHORTER;
  }

  /** One over the noise power of the bins of a short frame, all channels together. */
  float[] inverseNoise() {
    return inverseNoise;
  }

  private static double sinc(double x) {
    return Math.sin(Math.PI * x) / (Math.PI * x);
  }

  /**
   * The first frame of a note.
   *
   * @param ring samples by channel; frame n stands at n modulo the length, a power of two
   * @param from first frame to look at
   * @param to end of what may be looked at, exclusive
   * @param seen where the first long frame begins in which a note is plain to see; what is over
   *     before is none, however long it lasts
   * @return the middle of the first short frame that holds more than noise, not counting what is
   *     over, has quiet behind it and is softer than what follows; {@code from} where that is the
   *     first of all; -1 if there is none
   */
  long find(float[][] ring, long from, long to, long seen) {
    int apart = frames(APART_S);
    int close = frames(CLOSE_S);
    int lasts = frames(LASTS_S);
    long attack = -1;
    long attackEnd = from;
    float highest = 0;
    long sound = -1;
    float peak = 0;
    float needed = 0;
    float before = 0;
    int sounding = 0;
    int quiet = 0;
    skipped = 0;
    loudest = 0;
    isLasting = false;
    for (long start = from; start + size <= to; start += hop) {
      transform(ring, start);
      float height = height();
      if (height <= 1) {
        quiet++;
        continue;
      }
      boolean isOver = quiet >= (sounding < lasts ? close : apart);
      if (sound < 0 || isOver && highest < NOTE) {
        // The first, or one that what was heard before it does not lead up to.
        sound = start == from ? from : start + size / 2;
        needed = highest * (start - attackEnd > (long) apart * hop ? STRONGER : MUCH_STRONGER);
        peak = 0;
        sounding = 0;
        before = loudest;
      }
      peak = Math.max(peak, height);
      sounding++;
      quiet = 0;
      loudest = Math.max(loudest, height);
      isLasting |= sounding >= lasts;
      if (attack == sound || peak > needed) {
        skipped = before;
        attack = sound;
        attackEnd = start;
        highest = peak;
      }
      if (sounding >= lasts && attack == sound && start >= seen) {
        break;
      }
    }
    return attack;
  }

  /** Whether {@link #find} heard something before the attack that is no faint tail. */
  boolean hasSkipped() {
    return skipped > RISES;
  }

  /** Whether {@link #find} heard nothing but what is over at once and faint. */
  boolean isClatter() {
    return !isLasting && loudest < FAINT;
  }

  /** Whether what {@link #find} heard lasts, or stands so high that it need not. */
  boolean isNote() {
    return isLasting || loudest >= NOTE;
  }

  /**
   * Where it is quiet first.
   *
   * @param ring as for {@link #find}
   * @param from first frame that may be quiet
   * @param to end of what may be looked at, exclusive
   * @return the first frame of a quiet that parts sounds, -1 if there is none
   */
  long findQuiet(float[][] ring, long from, long to) {
    int apart = frames(APART_S);
    int quiet = 0;
    for (long start = from; start + size <= to; start += hop) {
      transform(ring, start);
      quiet = height() > 1 ? 0 : quiet + 1;
      if (quiet == apart) {
        return start + size / 2 - (long) (apart - 1) * hop;
      }
    }
    return -1;
  }

  /**
   * Where a note has died away that something in the room sounds after.
   *
   * @param ring as for {@link #find}; it holds the audio from {@link #before} frames before {@code
   *     from} on
   * @param from first frame that may be the end
   * @param to end of all that sounds, exclusive
   * @return the first frame of the quiet behind which something sounds that is too short for a
   *     note; {@code to} if there is none
   */
  long findEnd(float[][] ring, long from, long to) {
    int apart = frames(APART_S);
    int lasts = frames(LASTS_S);
    long end = to;
    boolean clatters = false;
    float peak = 0;
    int sounding = lasts;
    int quiet = 0;
    for (long start = Math.max(0, from - before()); start + size <= to; start += hop) {
      transform(ring, start);
      float height = height();
      if (height > 1) {
        peak = Math.max(peak, height);
        sounding++;
        quiet = 0;
        clatters |= end < to;
        end = sounding >= lasts || sounding >= apart && peak < RISES || peak > NOTE ? to : end;
      } else if (++quiet == apart) {
        end = end == to ? Math.max(from, start + size / 2 - (long) (apart - 1) * hop) : end;
        sounding = 0;
        peak = 0;
      }
    }
    // With quiet alone behind it the note is too faint for short frames to tell, and may go on.
    return clatters ? end : to;
  }

  /** Frames before the first one that may be an end, which are looked at. */
  private long before() {
    return (long) frames(APART_S) * hop;
  }

  /**
   * Where most comes up within sound that goes on.
   *
   * @param ring as for {@link #find}
   * @param from first frame that it may be
   * @param to last frame that it may be; the length of a short frame on each side is looked at too
   * @return the frame before which least sounds, and most after it
   */
  long findRise(float[][] ring, long from, long to) {
    float[][] heights = new float[COVER + 1][ratios.length];
    long rise = from;
    float most = 0;
    int frame = 0;
    for (long start = from - size; start <= to; start += hop) {
      transform(ring, start);
      float[] now = heights[frame % heights.length];
      for (int k = 0; k < now.length; k++) {
        now[k] = (float) Math.log1p(ratios[k]);
      }
      // The frame that ends where this one begins; in the ring it comes next.
      float[] past = heights[++frame % heights.length];
      float sum = 0;
      for (int k = 0; k < now.length; k++) {
        sum += Math.max(0, now[k] - past[k]);
      }
      if (frame > COVER && sum > most) {
        most = sum;
        rise = start + size / 4;
      }
    }
    return rise;
  }

  private int frames(double seconds) {
    return (int) Math.ceil(seconds * sampleRate / hop);
  }

  /** Takes the power over the noise of a short frame. */
  private void transform(float[][] ring, long start) {
    Fft fft = Fft.of(size);
    int mask = ring[0].length - 1;
    Arrays.fill(ratios, 0);
    for (float[] x : ring) {
      // Copied first: HotSpot makes vector code of arrays that are read from the same index on.
      int at = (int) start & mask;
      int whole = Math.min(size, x.length - at);
      System.arraycopy(x, at, packed, 0, whole);
      System.arraycopy(x, 0, packed, whole, size - whole);
      for (int i = 0; i < size; i++) {
        packed[i] *= window[i];
      }
      fft.powerOf(packed, single);
      for (int k = 0; k < single.length; k++) {
        ratios[k] += single[k] * inverseNoise[k];
      }
    }
  }

  /** How many times higher a band of the short frame stands than noise does; of the highest. */
  private float height() {
    float highest = 0;
    // The lowest bin is real, and the next one holds half of it.
    System.arraycopy(ratios, 2, sums, 0, sums.length);
    for (int i = 0; i < WIDTHS.length; i++) {
      float[] limit = limits[i];
      for (int band = 0; band < limit.length; band++) {
        if (i > 0) {
          int of = NARROWER * band;
          sums[band] = (sums[of] + sums[of + 1]) + (sums[of + 2] + sums[of + 3]);
        }
        // Hardly any is the highest so far, and a division takes longer than all the rest.
        if (sums[band] > highest * limit[band]) {
          highest = sums[band] / limit[band];
        }
      }
    }
    return highest;
  }
}
