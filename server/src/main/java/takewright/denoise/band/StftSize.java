package takewright.denoise.band;

import takewright.dsp.Windows;

/**
 * How finely the noise reduction looks at a sound.
 *
 * <p>A frame of about 170 ms tells the partials of a bowed low note, and mains hum, from what lies
 * between them: measured on real notes, an ideal Wiener gain wins about 0.5 dB more with it than
 * with half the length, and hardly loses on staccato notes.
 */
public final class StftSize {
  /** Frame length at 48 kHz, in samples; other rates get the power of two of nearest duration. */
  private static final int SIZE_AT_48_KHZ = 8192;

  /** Frames that cover each sample: the fewest at which two Hann windows add up to a constant. */
  public static final int OVERLAP = 3;

  /** What the copies of a squared Hann window add up to. */
  public static final float SUM = 0.375f * OVERLAP;

  private StftSize() {}

  /** Samples per frame. */
  public static int size(int sampleRate) {
    double wanted = SIZE_AT_48_KHZ * (sampleRate / 48000.0);
    int size = 64;
    while (size * Math.sqrt(2) < wanted) {
      size *= 2;
    }
    return size;
  }

  /** Samples from one frame of this many to the next. */
  public static int hop(int size) {
    return size / OVERLAP;
  }

  /** The Hann window of whole hops that a frame of this many samples holds; silence follows it. */
  public static float[] window(int size) {
    return Windows.hann(OVERLAP * hop(size));
  }
}
