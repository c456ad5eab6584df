package takewright.analyse;

import java.util.Arrays;
import takewright.audio.Clip;
import takewright.dsp.Decibels;
import takewright.dsp.Fft;
import takewright.dsp.Medians;
import takewright.dsp.Windows;
import takewright.pitch.HarmonicSum;
import takewright.pitch.Pitch;
import takewright.pitch.PitchDetector;
import takewright.pitch.PitchOfNote;

/**
 * Spectrum and stereo width of a sample.
 *
 * @param centroidHz mean frequency of the spectrum over the steady part, weighted by amplitude, in
 *     hertz (the audio spectrum centroid of Peeters, "A large set of audio features", 2004); NaN
 *     for silence
 * @param centroidStartHz the same over the first third of the steady part
 * @param centroidEndHz the same over its last third
 * @param noisiness share of the power that does not repeat from one period to the next, 0 (a pure
 *     tone) to 1 (noise, or no pitch): bow, breath, hammer
 * @param balanceDb level of the second channel over the first, in dB; NaN but for two channels with
 *     sound
 * @param correlation of the two channels: 1 alike, 0 nothing in common, -1 one turned over; NaN but
 *     for two channels with sound
 */
public record Timbre(
    double centroidHz,
    double centroidStartHz,
    double centroidEndHz,
    double noisiness,
    double balanceDb,
    double correlation) {
  private static final int SIZE = 2048;
  private static final int MAX_WINDOWS = 48;
  private static final int PERIOD_WINDOWS = 32;

  static Timbre of(Clip sample, Pitch pitch) {
    float[] mono = sample.mono();
    double[] centroids = centroids(mono, sample.sampleRate());
    double balance = Double.NaN;
    double correlation = Double.NaN;
    if (sample.channels() == 2) {
      double a = product(sample.channel(0), sample.channel(0));
      double b = product(sample.channel(1), sample.channel(1));
      if (a > 0 && b > 0) {
        balance = Decibels.fromPower(b / a);
        correlation = product(sample.channel(0), sample.channel(1)) / Math.sqrt(a * b);
      }
    }
    return new Timbre(
        centroids[0],
        centroids[1],
        centroids[2],
        pitch == null ? 1 : noisiness(mono, sample.sampleRate(), pitch.frequencyHz()),
        balance,
        correlation);
  }

  /** Over all of the steady part, its first and its last third. */
  private static double[] centroids(float[] audio, int sampleRate) {
    float[] mono = audio.length < SIZE ? Arrays.copyOf(audio, SIZE) : audio;
    int n = (int) Math.min(MAX_WINDOWS, 1 + 2L * (mono.length - SIZE) / SIZE);
    Fft fft = Fft.of(SIZE);
    float[] window = Windows.hann(SIZE);
    float[] work = new float[SIZE];
    float[] power = new float[fft.bins()];
    double[] weighted = new double[n];
    double[] sum = new double[n];
    double[] level = new double[n];
    double loudest = 0;
    for (int w = 0; w < n; w++) {
      int at = n == 1 ? 0 : (int) ((long) (mono.length - SIZE) * w / (n - 1));
      for (int i = 0; i < SIZE; i++) {
        work[i] = mono[at + i] * window[i];
      }
      fft.forward(work);
      fft.power(work, power);
      for (int k = 1; k < power.length; k++) {
        double amplitude = Math.sqrt(power[k]);
        weighted[w] += amplitude * k;
        sum[w] += amplitude;
        level[w] += power[k];
      }
      loudest = Math.max(loudest, level[w]);
    }
    int from = 0;
    int to = n - 1;
    double min = PitchOfNote.STEADY_SHARE * PitchOfNote.STEADY_SHARE * loudest;
    while (from < to && level[from] < min) {
      from++;
    }
    while (to > from && level[to] < min) {
      to--;
    }
    int third = Math.max(1, (to + 1 - from) / 3);
    double binHz = (double) sampleRate / SIZE;
    return new double[] {
      binHz * ratio(weighted, sum, from, to + 1),
      binHz * ratio(weighted, sum, from, from + third),
      binHz * ratio(weighted, sum, to + 1 - third, to + 1)
    };
  }

  private static double ratio(double[] above, double[] below, int from, int to) {
    double a = 0;
    double b = 0;
    for (int i = from; i < to; i++) {
      a += above[i];
      b += below[i];
    }
    return b > 0 ? a / b : Double.NaN;
  }

  /** The median dip at the pitch's own period. */
  private static double noisiness(float[] audio, int sampleRate, double frequency) {
    PitchDetector detector =
        new PitchDetector(
            sampleRate,
            Math.max(HarmonicSum.LOWEST_HZ / 1.5, frequency / 1.5),
            Math.min(0.45 * sampleRate, frequency * 1.5));
    float[] mono =
        audio.length < detector.window() ? Arrays.copyOf(audio, detector.window()) : audio;
    int room = mono.length - detector.window();
    int n = (int) Math.min(PERIOD_WINDOWS, 1 + 2L * room / detector.window());
    double[] dips = new double[n];
    double[] levels = new double[n];
    double loudest = 0;
    for (int w = 0; w < n; w++) {
      int at = n == 1 ? room / 2 : (int) ((long) room * w / (n - 1));
      int candidates = detector.find(mono, at);
      levels[w] = detector.rms();
      loudest = Math.max(loudest, levels[w]);
      dips[w] = 1;
      for (int c = 0; c < candidates; c++) {
        dips[w] = Math.min(dips[w], detector.aperiodicity(c));
      }
    }
    int kept = 0;
    for (int w = 0; w < n; w++) {
      if (levels[w] > PitchOfNote.STEADY_SHARE * loudest) {
        dips[kept++] = dips[w];
      }
    }
    return kept == 0 ? 1 : Math.min(1, Medians.of(dips, kept));
  }

  private static double product(float[] a, float[] b) {
    double sum = 0;
    for (int i = 0; i < a.length; i++) {
      sum += (double) a[i] * b[i];
    }
    return sum;
  }
}
