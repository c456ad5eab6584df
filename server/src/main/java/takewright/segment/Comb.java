package takewright.segment;

import takewright.segment.room.FloatHistory;

/**
 * A comb filter that takes away the partials of one note: the difference of the samples one of its
 * periods apart. What else sounds is left, but for what shares its partials.
 */
final class Comb {
  private float[] samples = new float[0];

  /**
   * Fills a window with what is left.
   *
   * @param centre frame around which the window lies
   * @param period of the note, in frames; the samples between two frames are interpolated
   */
  void copy(FloatHistory audio, long centre, double period, float[] window) {
    int whole = (int) period;
    float part = (float) (period - whole);
    int before = whole + 1;
    if (samples.length < before + window.length) {
      samples = new float[before + window.length];
    }
    audio.copy(centre - window.length / 2 - before, samples, before + window.length);
    for (int i = 0; i < window.length; i++) {
      int at = before + i;
      float earlier = samples[at - whole] + part * (samples[at - before] - samples[at - whole]);
      window[i] = samples[at] - earlier;
    }
  }
}
