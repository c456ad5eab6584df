package takewright.pitch;

import java.util.Arrays;
import takewright.dsp.Cents;
import takewright.dsp.Fft;

/**
 * A sound without all that does not lie at the harmonics of a note: strings and bars that were
 * played before and still ring lie between them, and would bend its period.
 */
final class OwnPartials {
  /**
   * What lies this near to a harmonic is its own, in cents: a vibrato, and the stretch of strings.
   */
  private static final double OWN_CENTS = 60;

  /** What lies this far away is not: a semitone and a half, so that a whole tone is left out. */
  private static final double STRANGE_CENTS = 150;

  /** Silence behind the sound, in seconds, into which the narrowest band rings. */
  private static final double PAD_S = 0.2;

  /** What rings has told its pitch after so long, in seconds; more would only take memory. */
  static final double MOST_S = 10;

  private OwnPartials() {}

  /**
   * The sound at the harmonics, of its first ten seconds.
   *
   * @param audio stays as it is
   * @param hz frequency of the note, to within half a semitone
   * @param harmonics from the first to this one
   */
  static float[] of(float[] audio, int sampleRate, double hz, int harmonics) {
    int frames = (int) Math.min(audio.length, MOST_S * sampleRate);
    int needed = frames + (int) (PAD_S * sampleRate);
    Fft fft = Fft.of(Integer.highestOneBit(needed - 1) * 2);
    float[] work = new float[fft.size()];
    System.arraycopy(audio, 0, work, 0, frames);
    fft.forward(work);
    double binHz = (double) sampleRate / fft.size();
    work[0] = 0;
    work[1] = 0;
    for (int k = 1; k < fft.size() / 2; k++) {
      float gain = gain(k * binHz, hz, harmonics);
      work[2 * k] *= gain;
      work[2 * k + 1] *= gain;
    }
    fft.inverse(work);
    return Arrays.copyOf(work, frames);
  }

  private static float gain(double at, double hz, int harmonics) {
    double harmonic = Math.max(1, Math.min(harmonics, Math.rint(at / hz)));
    double away = Cents.apart(at, harmonic * hz);
    if (away <= OWN_CENTS) {
      return 1;
    }
    double share = (away - OWN_CENTS) / (STRANGE_CENTS - OWN_CENTS);
    return share >= 1 ? 0 : (float) (0.5 + 0.5 * Math.cos(Math.PI * share));
  }
}
