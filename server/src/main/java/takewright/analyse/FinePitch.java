package takewright.analyse;

import java.util.Arrays;
import takewright.dsp.Fft;
import takewright.dsp.Windows;

/**
 * The exact frequency of a note whose pitch is known to within a quarter tone, by the
 * autocorrelation of a windowed stretch divided by that of the window (Boersma, "Accurate
 * short-term analysis of the fundamental frequency and the harmonics-to-noise ratio of a sampled
 * sound", IFA Proceedings 17, 1993), read at a lag of several periods, where a mistake of a
 * fraction of a frame weighs less.
 */
final class FinePitch {
  /** Length of a stretch: this long, or so many periods, whichever is longer. */
  private static final double STRETCH_S = 0.08;

  private static final int STRETCH_PERIODS = 12;

  /** Lags are read at 1, 2, 4, ... periods, each from the one before, to this many at least. */
  private static final int LEAST_MULTIPLE = 8;

  /** And on up to this lag in seconds: at high notes 8 periods are too few frames for a cent. */
  private static final double LAG_S = 0.012;

  /**
   * How far from the expected lag the peak is looked for: 0.4 % of it (7 cents), at least 2 frames.
   */
  private static final double SEARCH = 0.004;

  private final int sampleRate;
  private final int length;
  private final float[] window;
  private final float[] windowCorrelation;
  private final float[] work;
  private final Fft fft;
  private final double expectedLag;
  private final int greatestMultiple;

  /**
   * For stretches of a note.
   *
   * @param frequencyHz about where it lies
   * @param available frames that there are; stretches are shorter where these are few
   */
  FinePitch(int sampleRate, double frequencyHz, int available) {
    this.sampleRate = sampleRate;
    expectedLag = sampleRate / frequencyHz;
    int multiple = LEAST_MULTIPLE;
    while (2 * multiple * expectedLag <= LAG_S * sampleRate) {
      multiple *= 2;
    }
    // A short low note has few periods: lags longer than a third of it would say little.
    while (multiple > 1 && 3 * multiple * expectedLag > available) {
      multiple /= 2;
    }
    greatestMultiple = multiple;
    // A quarter more than the longest lag, since the note may be lower than expected.
    int longest = (int) (1.25 * multiple * expectedLag) + 4;
    int wanted = (int) Math.max(STRETCH_S * sampleRate, STRETCH_PERIODS * expectedLag) + longest;
    length = Math.max(2 * longest, Math.min(wanted, available));
    // Padded by the longest lag that is read, so that nothing comes round into it.
    int size = Integer.highestOneBit(length + longest - 1) * 2;
    fft = Fft.of(size);
    work = new float[size];
    window = Windows.hann(length);
    System.arraycopy(window, 0, work, 0, length);
    correlate();
    windowCorrelation = Arrays.copyOf(work, longest);
  }

  /** Frames of a stretch. */
  int length() {
    return length;
  }

  /** Frequency in hertz of the stretch from {@code at}, or NaN where nothing repeats there. */
  double measure(float[] audio, int at) {
    for (int i = 0; i < length; i++) {
      work[i] = audio[at + i] * window[i];
    }
    Arrays.fill(work, length, work.length, 0);
    correlate();
    for (int i = 0; i < windowCorrelation.length; i++) {
      work[i] /= windowCorrelation[i];
    }
    double lag = expectedLag;
    // The first look reaches 60 cents to either side: the expectation is coarse.
    int reach = (int) Math.max(2, Math.ceil(0.036 * lag));
    for (int multiple = 1; multiple <= greatestMultiple; multiple *= 2) {
      int centre = (int) Math.round(lag * multiple);
      int peak = centre;
      for (int k = Math.max(1, centre - reach); k <= centre + reach; k++) {
        if (k + 1 >= windowCorrelation.length) {
          return sampleRate / lag;
        }
        if (work[k] > work[peak]) {
          peak = k;
        }
      }
      double before = work[peak - 1];
      double after = work[peak + 1];
      double bend = before - 2 * work[peak] + after;
      double shift = bend < 0 ? 0.5 * (before - after) / bend : 2;
      if (Math.abs(shift) > 1) {
        // No peak there: vibrato or noise has washed it out, so the shorter lag stands.
        return multiple == 1 ? Double.NaN : sampleRate / lag;
      }
      lag = (peak + shift) / multiple;
      reach = (int) Math.max(2, SEARCH * lag * multiple * 2);
    }
    return sampleRate / lag;
  }

  /** Autocorrelation of {@link #work} in place. */
  private void correlate() {
    fft.forward(work);
    work[0] *= work[0];
    work[1] *= work[1];
    for (int i = 2; i < work.length; i += 2) {
      work[i] = work[i] * work[i] + work[i + 1] * work[i + 1];
      work[i + 1] = 0;
    }
    fft.inverse(work);
  }
}
