package takewright.pitch;

import takewright.dsp.Fir;
import takewright.dsp.KaiserSinc;

/**
 * Looks at windows of high pitches, whose periods are few frames. The detector looks at whole
 * frames: between them a short period's dip hides behind that of two or three, and is bent. So
 * others are put between the frames of each window.
 */
final class DenseWindows {
  /** Taps for 50 dB and a band up to nine tenths, as for the true peak. */
  private static final int TAPS = 32;

  private static final double ATTENUATION = 50;

  /** More frames between say nothing new. */
  private static final int MAX_FACTOR = 8;

  private final int factor;
  private final int rate;
  private final PitchDetector detector;
  private final int frames;
  private final Fir interpolator;
  private final float[][] between;
  private final float[] filled;

  /**
   * For pitches of a range.
   *
   * @param dense frames a second that there are to be at least
   */
  DenseWindows(int sampleRate, double lowestHz, double highestHz, double dense) {
    factor = (int) Math.max(1, Math.min(MAX_FACTOR, Math.ceil(dense / sampleRate)));
    rate = factor * sampleRate;
    detector = new PitchDetector(rate, lowestHz, highestHz);
    frames = (detector.window() + factor - 1) / factor;
    KaiserSinc kernel = new KaiserSinc(0.5, TAPS / 2.0, ATTENUATION);
    float[][] phases = new float[factor][TAPS];
    for (int p = 0; p < factor; p++) {
      for (int k = 0; k < TAPS; k++) {
        phases[p][k] = (float) kernel.at(k - (TAPS / 2 - 1) - (double) p / factor);
      }
    }
    interpolator = new Fir(phases, frames);
    between = new float[factor][frames];
    filled = new float[factor * frames];
  }

  /** Frames that a window takes. */
  int window() {
    return factor == 1 ? detector.window() : frames + TAPS;
  }

  /** Seconds over which a window's repetition is summed. */
  double integrationS() {
    return (double) detector.integration() / rate;
  }

  PitchDetector detector() {
    return detector;
  }

  /** Looks at the window from {@code at}; the number of candidates. */
  int find(float[] audio, int at) {
    if (factor == 1) {
      return detector.find(audio, at);
    }
    interpolator.apply(audio, at, between, frames);
    for (int p = 0; p < factor; p++) {
      for (int i = 0; i < frames; i++) {
        filled[factor * i + p] = between[p][i];
      }
    }
    return detector.find(filled, 0);
  }
}
