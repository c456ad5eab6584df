package takewright.analyse;

import takewright.audio.Clip;
import takewright.dsp.Decibels;
import takewright.dsp.Peak;

/**
 * Technical faults of a sample.
 *
 * @param clippedTops tops that a converter or a limit has cut flat, at full scale or below it where
 *     the audio was lowered afterwards
 * @param clipLevelDbfs where they lie, in dBFS; NaN for none
 * @param dropouts gaps in the sound in which nothing moves for a millisecond or longer
 * @param firstDropoutFrame where the first lies; -1 for none
 * @param dc mean of the samples of the channel where it is greatest, full scale at ±1
 */
public record Faults(
    int clippedTops, double clipLevelDbfs, int dropouts, long firstDropoutFrame, double dc) {
  /** Runs of this many samples at full scale are clipped: a sine just touching it has fewer. */
  private static final int CLIPPED_RUN = 3;

  /** Full scale, as the largest 16-bit integer. */
  private static final float FULL_SCALE = 32767f / 32768;

  /** Two steps of 16 bits: samples nearer than this are alike, dither or not. */
  private static final float ALIKE = 2f / 32768;

  /** Frames of a clipped peak. */
  private static final int FLAT = 3;

  /**
   * At a high pitch a cut top may be two frames. So may a round one that falls evenly between them,
   * but then others reach higher; and where a steady tone's period fits the frames, all tops are
   * so: it counts only where each is as high as the highest sample, falls off steeply, and most are
   * not.
   */
  private static final int SHORT = 2;

  private static final int MIN_SHORT = 6;
  private static final double MAX_SHORT = 0.5;

  /**
   * A cut top breaks off: the next sample on either side lies more than this many times {@link
   * #ALIKE} lower. That of a round top of three frames lies lower by three where it is a parabola,
   * by eight where it goes by the fourth power.
   */
  private static final float BREAK = 10;

  /** Or, of a slow wave, half the top's length beyond: by 4 and 16 where it is round. */
  private static final float SLOW_BREAK = 64;

  /** Flat tops lie within this share of the highest sample: a limit is a limit. */
  private static final float TOP = 0.98f;

  /** Fewer clipped peaks may be chance. */
  private static final int MIN_TOPS = 3;

  /** Share of the highest sample that the sound around a gap has, at least: 40 dB below. */
  private static final float AROUND = 0.01f;

  /** Milliseconds before and after a gap in which there is sound. */
  private static final int AROUND_MS = 5;

  /** Looks at all channels. */
  static Faults of(Clip sample) {
    int tops = 0;
    double level = Double.NaN;
    int gaps = 0;
    long firstGap = -1;
    double dc = 0;
    for (int c = 0; c < sample.channels(); c++) {
      float[] x = sample.channel(c);
      float peak = 0;
      double sum = 0;
      for (float v : x) {
        peak = Math.max(peak, Math.abs(v));
        sum += v;
      }
      if (x.length > 0 && Math.abs(sum / x.length) > Math.abs(dc)) {
        dc = sum / x.length;
      }
      if (peak == 0) {
        continue;
      }
      int flat = cutTops(x, peak, TOP * peak);
      if (flat > 0) {
        tops += flat;
        level = Double.isNaN(level) ? db(peak) : Math.max(level, db(peak));
      }
      int min = Math.max(8, sample.sampleRate() / 1000);
      int around = sample.sampleRate() * AROUND_MS / 1000;
      for (int at = 1; at < x.length; ) {
        int end = at + 1;
        while (end < x.length && x[end] == x[at]) {
          end++;
        }
        // Clipped peaks are constant too.
        boolean top = flat > 0 && Math.abs(x[at]) >= TOP * peak;
        if (end - at >= min && !top && inSound(x, at, end, around, AROUND * peak)) {
          gaps++;
          firstGap = firstGap < 0 ? at : Math.min(firstGap, at);
        }
        at = end;
      }
    }
    return new Faults(tops, level, gaps, firstGap, dc);
  }

  /**
   * Whether any channel stays at full scale for several samples, or has flat tops as high as its
   * highest sample. In a noisy room some tops are flat by chance, but they lie at any height.
   */
  public static boolean isClipped(Clip sample) {
    for (int c = 0; c < sample.channels(); c++) {
      float[] x = sample.channel(c);
      float peak = Peak.of(x, 0, x.length);
      if (isAtFullScale(x, peak) || cutTops(x, peak, peak - ALIKE) > 0) {
        return true;
      }
    }
    return false;
  }

  /** Whether any channel stays at full scale for several samples. */
  static boolean isAtFullScale(Clip sample) {
    for (int c = 0; c < sample.channels(); c++) {
      float[] x = sample.channel(c);
      if (isAtFullScale(x, Peak.of(x, 0, x.length))) {
        return true;
      }
    }
    return false;
  }

  private static boolean isAtFullScale(float[] samples, float peak) {
    int run = 0;
    for (int i = 0; peak >= FULL_SCALE && i < samples.length; i++) {
      run = Math.abs(samples[i]) >= FULL_SCALE ? run + 1 : 0;
      if (run >= CLIPPED_RUN) {
        return true;
      }
    }
    return false;
  }

  private static int cutTops(float[] x, float peak, float min) {
    // Hardly any sample lies so high: where the first and the last do is looked for once.
    float least = Math.min(min, peak - ALIKE);
    int first = 0;
    while (first < x.length && !(Math.abs(x[first]) >= least)) {
      first++;
    }
    int last = x.length - 1;
    while (last > first && !(Math.abs(x[last]) >= least)) {
      last--;
    }
    HighSpan span = new HighSpan(first, last);
    return Math.max(cutTops(x, span, peak, min, 1), cutTops(x, span, peak, min, -1));
  }

  /** The frames at both ends of those that may be tops. */
  private record HighSpan(int first, int last) {}

  private static int cutTops(float[] x, HighSpan span, float peak, float min, int sign) {
    int flat = flatTops(x, span, peak, min, sign, FLAT);
    if (flat >= MIN_TOPS) {
      return flat;
    }
    int brief = flatTops(x, span, peak, peak - ALIKE, sign, SHORT);
    return brief >= MIN_SHORT && brief < MAX_SHORT * tops(x, peak / 2, sign) ? brief : 0;
  }

  /** Local maxima above {@code min}. */
  private static int tops(float[] x, float min, int sign) {
    int tops = 0;
    for (int i = 1; i + 1 < x.length; i++) {
      float v = sign * x[i];
      if (v > min && v > sign * x[i - 1] && v >= sign * x[i + 1]) {
        tops++;
      }
    }
    return tops;
  }

  private static int flatTops(
      float[] x, HighSpan span, float peak, float min, int sign, int frames) {
    int tops = 0;
    // Too quiet to distinguish a clipped peak from a round one.
    if (peak < 20 * BREAK * ALIKE) {
      return 0;
    }
    int end = 0;
    float low = 0;
    float high = 0;
    for (int at = Math.max(1, span.first()); at <= span.last(); at++) {
      if (!(sign * x[at] >= min)) {
        continue;
      }
      // Where what was left behind made neither end of the range, the stretch ends where it did:
      // looked through again from every frame, a stretch of a second would take a minute.
      boolean known = at < end && (x[at - 1] == x[at] || (x[at - 1] > low && x[at - 1] < high));
      if (!known) {
        end = at;
        low = x[at];
        high = x[at];
      }
      while (!known && end < x.length) {
        float newLow = Math.min(low, x[end]);
        float newHigh = Math.max(high, x[end]);
        if (!(newHigh - newLow <= ALIKE)) {
          break;
        }
        low = newLow;
        high = newHigh;
        end++;
      }
      int half = (end - at) / 2;
      boolean breaks =
          falls(x, at, end - 1, 1, sign, end - at < FLAT ? SLOW_BREAK : BREAK)
              || (end - at >= FLAT && falls(x, at, end - 1, half, sign, SLOW_BREAK));
      if (end - at >= frames && breaks) {
        tops++;
        at = end - 1;
      }
    }
    return tops;
  }

  /** Whether the audio lies so much lower {@code frames} beyond either end of a top. */
  private static boolean falls(float[] x, int first, int last, int frames, int sign, float times) {
    return first >= frames
        && last + frames < x.length
        && sign * (x[first] - x[first - frames]) > times * ALIKE
        && sign * (x[last] - x[last + frames]) > times * ALIKE;
  }

  /** Whether there is sound on both sides, and it breaks off or sets in at once. */
  private static boolean inSound(float[] x, int from, int to, int around, float min) {
    if (from < around || to + around > x.length) {
      return false;
    }
    float jump = Math.max(Math.abs(x[from] - x[from - 1]), Math.abs(x[to] - x[to - 1]));
    return jump > BREAK * ALIKE
        && Peak.of(x, from - around, from) > min
        && Peak.of(x, to, to + around) > min;
  }

  private static double db(float amplitude) {
    return Decibels.fromAmplitude(amplitude);
  }
}
