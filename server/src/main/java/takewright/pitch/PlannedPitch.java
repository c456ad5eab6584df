package takewright.pitch;

import java.util.Arrays;
import takewright.dsp.Cents;
import takewright.dsp.Fft;
import takewright.dsp.SumOfSquares;

/**
 * The pitch of a low note that is over so soon that its windows do not agree on one: of the notes
 * that the sheet asks for the one whose period the sound agrees with best.
 *
 * <p>The agreement is the autocorrelation of the whole sound, held against the energy of both parts
 * (McLeod and Wyvill, "A smarter way to find pitch", ICMC 2005).
 */
public final class PlannedPitch {
  /** Of higher notes the windows hold enough periods, in hertz. */
  private static final double LOW_HZ = 150;

  /** Nothing is looked for above this, in hertz: a low note's partials agree with each other. */
  private static final double HIGHEST_HZ = 600;

  /** A note is played as far off as this, in cents. */
  private static final double OFF_CENTS = 40;

  /** In longer sounds enough windows agree, in seconds. */
  private static final double LONGEST_S = 1;

  /** So much of a sound is compared, in seconds: later it only dies away. */
  private static final double COMPARED_S = 0.5;

  /**
   * A note agrees with its period as well as this, though it speaks and dies away: those of a
   * double bass that are over after 0.3 s by 0.49 to 0.88, blows and a room's noise by up to 0.36.
   */
  private static final double AGREES = 0.45;

  /**
   * The same in its middle half, where it is loud and still: by 0.66 and more, where of words some
   * other period always agrees better by 0.06 or more.
   */
  private static final double AGREES_INSIDE = 0.6;

  private static final double WORSE_INSIDE = 0.03;

  /** Share of a stretch that two parts of it may lie apart: less would be left to compare. */
  private static final double MOST_APART = 0.7;

  private final double[] hertz;
  private final double tuningHz;
  private final int sampleRate;

  /**
   * @param midi numbers of the notes that the sheet asks for
   * @param tuningHz frequency of A4 in hertz
   */
  public PlannedPitch(int[] midi, double tuningHz, int sampleRate) {
    this.tuningHz = tuningHz;
    this.sampleRate = sampleRate;
    hertz = Arrays.stream(midi).mapToDouble(n -> tuningHz * Math.pow(2, (n - 69) / 12.0)).toArray();
  }

  /** Whether a sound may be such a note: low ones are planned, and it is short. */
  public boolean isFor(long frames) {
    return frames <= LONGEST_S * sampleRate && Arrays.stream(hertz).anyMatch(hz -> hz < LOW_HZ);
  }

  /**
   * The pitch of a sound, from its onset to where it is no longer heard, as sure as it agrees with
   * itself; null where it is not surely one of the low notes that are planned.
   */
  public Pitch of(float[] sound) {
    int length = (int) Math.min(sound.length, COMPARED_S * sampleRate);
    float[] whole = agreement(sound, 0, length);
    int lag = 0;
    for (double planned : hertz) {
      int at = best(whole, lag(planned, OFF_CENTS), lag(planned, -OFF_CENTS));
      lag = lag == 0 || at > 0 && whole[at] > whole[lag] ? at : lag;
    }
    if (lag <= sampleRate / LOW_HZ || whole[lag] < AGREES) {
      return null;
    }
    float[] inside = agreement(sound, length / 4, length / 4 + length / 2);
    int near = best(inside, (int) (lag * 0.995), (int) (lag * 1.005) + 1);
    if (near == 0 || inside[near] < AGREES_INSIDE || !isPeriod(inside, near)) {
      return null;
    }
    return Pitch.of(sampleRate / between(whole, lag), tuningHz, whole[lag]);
  }

  private int lag(double hertz, double cents) {
    return (int) Math.round(sampleRate / (hertz * Cents.toRatio(cents)));
  }

  /** The lag from one up to another at which the agreement is best; 0 where there is none. */
  private static int best(float[] agreement, int from, int to) {
    int best = 0;
    for (int lag = Math.max(1, from); lag <= Math.min(to, agreement.length - 1); lag++) {
      best = best == 0 || agreement[lag] > agreement[best] ? lag : best;
    }
    return best;
  }

  /**
   * Whether a lag is the period: the sound agrees hardly better at any other, and less at all that
   * are plainly shorter, as several periods of a higher note agree as well as one.
   */
  private boolean isPeriod(float[] agreement, int lag) {
    int first = (int) (sampleRate / HIGHEST_HZ);
    while (first < agreement.length && agreement[first] > 0) {
      first++;
    }
    int best = best(agreement, first, agreement.length - 1);
    int shorter = best(agreement, first, lag * 2 / 3);
    return best > 0
        && agreement[best] <= agreement[lag] + WORSE_INSIDE
        && (shorter == 0 || agreement[shorter] < agreement[lag] - WORSE_INSIDE);
  }

  /** Where the top lies between the lags, by a parabola through three of them. */
  private static double between(float[] agreement, int lag) {
    if (lag + 1 >= agreement.length) {
      return lag;
    }
    double before = agreement[lag - 1];
    double behind = agreement[lag + 1];
    double bend = before - 2 * agreement[lag] + behind;
    double off = bend < 0 ? 0.5 * (before - behind) / bend : 0;
    return Math.abs(off) <= 1 ? lag + off : lag;
  }

  /**
   * By lag, up to that of the lowest pitch: twice the product sum over the sum of both energies.
   */
  private float[] agreement(float[] sound, int from, int to) {
    int length = to - from;
    int lags = (int) Math.min(MOST_APART * length, sampleRate / PitchDetector.LOWEST_HZ);
    if (lags < 2) {
      return new float[1];
    }
    Fft fft = Fft.of(Integer.highestOneBit(length + lags) * 2);
    float[] one = new float[fft.size()];
    System.arraycopy(sound, from, one, 0, length);
    fft.forward(one);
    float[] products = one.clone();
    Fft.multiplyConjugate(one, products);
    fft.inverse(products);
    float[] agreement = new float[lags];
    double both = 2 * SumOfSquares.of(sound, from, to);
    for (int lag = 0; lag < lags; lag++) {
      agreement[lag] = (float) (2 * products[lag] / (both + 1e-12));
      double first = sound[from + lag];
      double last = sound[to - 1 - lag];
      both -= first * first + last * last;
    }
    return agreement;
  }
}
