package takewright.segment.onset;

/** The power of samples over a stretch that slides along them. */
final class SlidingPower {
  private SlidingPower() {}

  /**
   * Mean square over {@code mean} samples around every sample; nothing lies beyond the ends.
   *
   * @param power is filled, one value a sample
   */
  static void of(float[] audio, int mean, double[] power) {
    double sum = 0;
    int half = mean / 2;
    for (int i = 0; i < Math.min(half, audio.length); i++) {
      sum += square(audio, i);
    }
    int end = audio.length + half;
    int whole = Math.min(mean, end);
    for (int i = half; i < whole; i++) {
      sum += square(audio, i) - square(audio, i - mean);
      power[i - half] = sum;
    }
    for (int i = whole; i < audio.length; i++) {
      // One sum after the other, not two.
      double in = (double) audio[i] * audio[i];
      double out = (double) audio[i - mean] * audio[i - mean];
      sum += in - out;
      power[i - half] = sum;
    }
    for (int i = Math.max(whole, audio.length); i < end; i++) {
      sum += square(audio, i) - square(audio, i - mean);
      power[i - half] = sum;
    }
    // In a loop of its own, which becomes vector code: a division takes longer than the rest.
    for (int i = 0; i < power.length; i++) {
      power[i] = Math.max(0, power[i]) / mean;
    }
  }

  /** The square of a sample; nothing lies beyond the ends. */
  private static double square(float[] audio, int i) {
    return i < 0 || i >= audio.length ? 0 : (double) audio[i] * audio[i];
  }
}
