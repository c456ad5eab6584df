package takewright.pitch;

import takewright.dsp.Decibels;
import takewright.dsp.Fft;
import takewright.dsp.Windows;

/**
 * Whether a period is one that nobody plays: strings that ring together repeat after it, as an E
 * and the B above it do after three periods of the B.
 *
 * <p>Of such a period neither the fundamental nor most of the other partials are there that are no
 * partials of the note itself. A string that is played lower than it should be has them.
 */
final class CommonPeriod {
  /** A partial is there from this much below the strongest of the note on: 26 dB. */
  private static final double PRESENT = Decibels.toPower(-26);

  /** Partials of the period that are looked at: those that a plucked or bowed string has. */
  private static final int PARTIALS = 7;

  /** How near to its multiple a partial lies, as a share of it: 50 cents. */
  private static final double REACH = 0.03;

  private CommonPeriod() {}

  /**
   * Whether the period of a frequency is only common to a note and to what rings with it, in its
   * first ten seconds.
   *
   * @param heardHz one over the period
   * @param noteHz the note, to within half a semitone
   */
  static boolean of(float[] audio, int sampleRate, double heardHz, double noteHz) {
    int periods = (int) Math.rint(noteHz / heardHz);
    if (periods < 2 || Math.abs(noteHz / (periods * heardHz) - 1) > REACH) {
      return false;
    }
    int frames = (int) Math.min(audio.length, OwnPartials.MOST_S * sampleRate);
    Fft fft = Fft.of(Integer.highestOneBit(Math.max(2, frames) - 1) * 4);
    float[] work = new float[fft.size()];
    float[] window = Windows.hann(frames);
    for (int i = 0; i < frames; i++) {
      work[i] = audio[i] * window[i];
    }
    float[] power = new float[fft.bins()];
    fft.powerOf(work, power);
    double binHz = (double) sampleRate / fft.size();
    double strongest =
        Math.max(
            highest(power, binHz, periods * heardHz), highest(power, binHz, 2 * periods * heardHz));
    int asked = 0;
    int present = 0;
    for (int h = 1; h <= PARTIALS; h++) {
      if (h % periods != 0) {
        boolean isThere = highest(power, binHz, h * heardHz) >= PRESENT * strongest;
        if (isThere && h == 1) {
          return false;
        }
        asked++;
        present += isThere ? 1 : 0;
      }
    }
    return 2 * present <= asked;
  }

  private static double highest(float[] power, double binHz, double hz) {
    int from = (int) Math.max(1, hz * (1 - REACH) / binHz);
    int to = (int) Math.min(power.length - 1.0, hz * (1 + REACH) / binHz + 1);
    double highest = 0;
    for (int k = from; k <= to; k++) {
      highest = Math.max(highest, power[k]);
    }
    return highest;
  }
}
