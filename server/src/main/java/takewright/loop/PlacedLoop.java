package takewright.loop;

import takewright.audio.Clip;

/**
 * A loop where a person wants it. Its start stays; its end moves by up to a period, to where the
 * waveform is most like that around the start.
 */
public final class PlacedLoop {
  /** Longest cross-fade, in seconds, as of loops that are searched for. */
  private static final double FADE_S = 0.12;

  /** What is compared on either side, in seconds and in periods. */
  private static final double WINDOW_S = 0.02;

  private static final double WINDOW_PERIODS = 3;

  /** The end moves by at most this, in periods: one of two neighbours is always within reach. */
  private static final double REACH_PERIODS = 0.6;

  /** And by this where the sound has no pitch, in seconds. */
  private static final double REACH_S = 0.002;

  private PlacedLoop() {}

  /**
   * The loop from one frame to another.
   *
   * @param start its first frame
   * @param end about the frame that would follow its last
   * @param frequencyHz of the note, in hertz; NaN if it has none
   * @return null if there is no room for it in the sample
   */
  public static Loop at(Clip sample, long start, long end, double frequencyHz) {
    int rate = sample.sampleRate();
    double periodS = Double.isNaN(frequencyHz) ? 0 : 1 / frequencyHz;
    int reach = (int) (Math.max(REACH_S, REACH_PERIODS * periodS) * rate);
    if (start < 1 || end > sample.frames() || end - start <= 2L * reach) {
      return null;
    }
    float[] x = sample.mono();
    int first = (int) start;
    int wanted = (int) (Math.max(WINDOW_S, WINDOW_PERIODS * periodS) * rate);
    int before = Math.min(wanted, first);
    int best = (int) end;
    double most = Double.NEGATIVE_INFINITY;
    for (int at = (int) end - reach; at <= Math.min(end + reach, x.length); at++) {
      int count = before + Math.min(wanted, x.length - at);
      double like = CrossFade.likeness(x, first - before, x, at - before, count);
      if (like > most) {
        most = like;
        best = at;
      }
    }
    int fade = Math.min((int) (FADE_S * rate), Math.min(first, best - 1 - first));
    return new Loop(first, best - 1, fade);
  }
}
