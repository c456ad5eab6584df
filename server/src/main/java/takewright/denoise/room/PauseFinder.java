package takewright.denoise.room;

import java.util.Arrays;
import takewright.dsp.Selection;

/**
 * Finds where in a take nobody plays, whatever the room does meanwhile.
 *
 * <p>A room may grow louder and softer by many dB, but its spectrum stays as smooth as noise is: of
 * a note the partials stand out. So a pause is a run of frames that are as smooth as the room is,
 * that lie not far above what is quietest within some seconds, and that are steady.
 */
final class PauseFinder {
  /** Within this span either way the room is heard at least for a moment, in seconds. */
  private static final double AROUND_S = 10;

  /** Share of the frames around that are taken for pauses at least. */
  private static final double LEAST_SHARE = 0.08;

  /** The room is not louder than this over its quietest moments around, in dB. */
  private static final double MAX_ABOVE_DB = 14;

  /** Frames that are looked at to learn how smooth the room is lie less far above that, in dB. */
  private static final double QUIETEST_DB = 4;

  /** Share of the most frames of like roughness that is many. */
  private static final double MANY = 0.3;

  /** The roughness of one room stays within this many dB of what is most frequent. */
  private static final float ROUGHNESS_DB = 0.6f;

  /**
   * Smoother by as much it may be as well, where it is softer and a converter's own noise shows.
   */
  private static final float SMOOTHER_DB = 1.2f;

  /** How far below the loudest frame room tone lies (RMS), or it may be a note held softly. */
  private static final double CONTRAST_DB = 10;

  /** A band is odd by this many standard deviations and dB above what is usual around. */
  private static final double ODD = 4;

  private static final double ODD_DB = 1;

  /** Frames of pauses either way that say what is usual: five seconds of them. */
  private static final int NEAR = 60;

  /** A run so long says by its second half what is usual in it, in seconds. */
  private static final double SETTLED_S = 1;

  /** Shortest pause, and what of it counts at once, in seconds. */
  private static final double SHORTEST_S = 0.3;

  /** A pause begins where it is within this many dB of what its second half is like. */
  private static final double TAIL_DB = 1.5;

  /** Quiet that is needed to be believed, in seconds. */
  private static final double ENOUGH_S = 0.5;

  private final FrameLevels frames;
  private final int sampleRate;
  private final double frameS;

  /**
   * @param hop frames of audio from one frame to the next
   */
  PauseFinder(FrameLevels frames, int sampleRate, int hop) {
    this.frames = frames;
    this.sampleRate = sampleRate;
    frameS = (double) hop * frames.every() / sampleRate;
  }

  /** Which frames are of a pause; null if there is not enough of any. */
  boolean[] find() {
    int n = frames.count();
    if (n * frameS < ENOUGH_S) {
      return null;
    }
    float[] quiet = quietAround();
    float smooth = usualRoughness(quiet);
    double loudest = Double.NEGATIVE_INFINITY;
    for (int i = 0; i < n; i++) {
      loudest = Math.max(loudest, frames.dbfs(i));
    }
    boolean[] pause = new boolean[n];
    for (int i = 0; i < n; i++) {
      pause[i] =
          frames.rough(i) < smooth + ROUGHNESS_DB
              && frames.rough(i) > smooth - SMOOTHER_DB
              && frames.mean(i) < quiet[i] + MAX_ABOVE_DB
              && frames.dbfs(i) < loudest - CONTRAST_DB;
    }
    trim(pause, odd(pause));
    int found = 0;
    for (boolean p : pause) {
      found += p ? 1 : 0;
    }
    return found * frameS < ENOUGH_S ? null : pause;
  }

  /** The level that few frames around each one stay below, in dB. */
  private float[] quietAround() {
    int n = frames.count();
    int piece = (int) Math.max(1, AROUND_S / 2 / frameS);
    float[] quiet = new float[n];
    float[] around = new float[5 * piece];
    for (int from = 0; from < n; from += piece) {
      int first = Math.max(0, from - 2 * piece);
      int last = Math.min(n, from + 3 * piece);
      for (int i = first; i < last; i++) {
        around[i - first] = frames.mean(i);
      }
      Arrays.sort(around, 0, last - first);
      float level = around[(int) (LEAST_SHARE * (last - first))];
      Arrays.fill(quiet, from, Math.min(n, from + piece), level);
    }
    return quiet;
  }

  /** The least roughness that many of the quietest frames have: nothing is smoother than noise. */
  private float usualRoughness(float[] quiet) {
    float[] rough = new float[frames.count()];
    int n = 0;
    for (int i = 0; i < rough.length; i++) {
      if (frames.mean(i) < quiet[i] + QUIETEST_DB) {
        rough[n++] = frames.rough(i);
      }
    }
    Arrays.sort(rough, 0, n);
    int[] alike = new int[n];
    int maxCount = 0;
    for (int i = 0, j = 0; i < n; i++) {
      while (j < n && rough[j] < rough[i] + ROUGHNESS_DB) {
        j++;
      }
      alike[i] = j - i;
      maxCount = Math.max(maxCount, j - i);
    }
    int first = 0;
    while (first < n && alike[first] < MANY * maxCount) {
      first++;
    }
    // From there on the best within reach.
    int best = first;
    for (int i = first; i < n && rough[i] < rough[first] + ROUGHNESS_DB; i++) {
      best = alike[i] > alike[best] ? i : best;
    }
    return n == 0 ? 0 : rough[best + alike[best] / 2];
  }

  /**
   * Which frames have a band that is rough or stands out of the colour of the pauses around: a
   * partial that still rings, in too few bins to show in the whole. Three frames are averaged,
   * which a tail outlasts.
   */
  private boolean[] odd(boolean[] pause) {
    int[] frame = new int[pause.length];
    int n = 0;
    for (int i = 0; i < pause.length; i++) {
      if (pause[i]) {
        frame[n++] = i;
      }
    }
    boolean[] odd = new boolean[pause.length];
    float[] values = new float[n];
    for (int b = 0; b < frames.bands(); b++) {
      for (int i = 0; i < n; i++) {
        values[i] = frames.level(frame[i], b) - frames.mean(frame[i]);
      }
      float[] colour = values.clone();
      settle(colour, frame);
      markOdd(values, frame, colour, odd);
      for (int i = 0; i < n; i++) {
        values[i] = frames.rough(frame[i], b);
      }
      Arrays.fill(colour, Float.NEGATIVE_INFINITY);
      markOdd(values, frame, colour, odd);
    }
    return odd;
  }

  /**
   * Puts in place of the values of each long run what its second half is like: the colour of a room
   * may change for good, and only a tail dies away.
   */
  private void settle(float[] values, int[] frame) {
    int enough = (int) Math.round(SETTLED_S / frameS);
    float[] sorted = new float[values.length];
    for (int from = 0, to; from < values.length; from = to) {
      to = from + 1;
      while (to < values.length && frame[to] == frame[to - 1] + 1) {
        to++;
      }
      float settled = Float.NEGATIVE_INFINITY;
      if (to - from >= enough) {
        int half = (to - from) / 2;
        System.arraycopy(values, to - half, sorted, 0, half);
        settled = (float) median(sorted, half);
      }
      Arrays.fill(values, from, to, settled);
    }
  }

  /** Marks what lies above what is usual around and above what is allowed besides. */
  private static void markOdd(float[] values, int[] frame, float[] allowed, boolean[] odd) {
    int n = values.length;
    float[] off = new float[n];
    for (int i = 0; i < n; i++) {
      float before = i > 0 && frame[i - 1] == frame[i] - 1 ? values[i - 1] : values[i];
      float after = i + 1 < n && frame[i + 1] == frame[i] + 1 ? values[i + 1] : values[i];
      off[i] = (before + values[i] + after) / 3;
    }
    float[] sorted = new float[n];
    float[] usual = new float[n];
    for (int from = 0; from < n; from += NEAR / 2) {
      int first = Math.max(0, from - NEAR);
      int count = Math.min(n, from + NEAR / 2 + NEAR) - first;
      System.arraycopy(off, first, sorted, 0, count);
      Arrays.fill(usual, from, Math.min(n, from + NEAR / 2), (float) median(sorted, count));
    }
    for (int i = 0; i < n; i++) {
      off[i] -= Math.max(usual[i], allowed[i]);
    }
    System.arraycopy(off, 0, sorted, 0, n);
    // What lies below is the room alone: a normal value lies 1.28 deviations lower once in ten.
    double deviation = n == 0 ? 0 : -Selection.find(sorted, n, n / 10) / 1.28;
    for (int i = 0; i < n; i++) {
      odd[frame[i]] |= off[i] > ODD * deviation + ODD_DB;
    }
  }

  private static double median(float[] values, int count) {
    return Selection.find(values, count, count / 2);
  }

  /** Keeps runs that are long enough, without their ends and without the tails they begin with. */
  private void trim(boolean[] pause, boolean[] odd) {
    int shortest = (int) Math.max(2, Math.round(SHORTEST_S / frameS));
    for (int from = 0; from < pause.length; ) {
      if (!pause[from]) {
        from++;
        continue;
      }
      int to = from;
      while (to < pause.length && pause[to] && !isBreak(to, from)) {
        to++;
      }
      // The first and the last frame may hold the edge of a sound, unless the take begins or ends.
      int first = from == 0 ? 0 : from + 1;
      int last = to == pause.length ? to : to - 1;
      first = withoutTail(first, last);
      while (first < last && (odd[first] || odd[Math.min(first + 1, last - 1)])) {
        first++;
      }
      while (first < last && (odd[last - 1] || odd[Math.max(last - 2, first)])) {
        last--;
      }
      boolean keeps = last - first >= shortest - 1;
      for (int i = from; i < to; i++) {
        pause[i] = keeps && i >= first && i < last;
      }
      from = to;
    }
  }

  private boolean isBreak(int to, int from) {
    return to > from && frames.at(to) - frames.at(to - 1) > 1.5 * frameS * sampleRate;
  }

  private int withoutTail(int first, int last) {
    if (last - first < 4) {
      return first;
    }
    int half = (first + last) / 2;
    double sum = 0;
    for (int i = half; i < last; i++) {
      sum += frames.mean(i);
    }
    double settled = sum / (last - half);
    int start = first;
    while (start < half && frames.mean(start) > settled + TAIL_DB) {
      start++;
    }
    return start;
  }
}
