package takewright.loop;

import java.util.Arrays;
import takewright.dsp.Fft;
import takewright.dsp.HarmonicTrack;

/** What a note sounds like over time, by which places in it are compared. */
final class Features {
  /** Points a second: half a swing of the fastest vibrato has three. */
  private static final int RATE = 50;

  /** But at most so many points; longer notes are looked at more coarsely. */
  private static final int MAX_POINTS = 600;

  /** Bands of an octave from the note's frequency on. */
  private static final int BANDS = 6;

  /** Power this far below the loudest band is noise to the ear, 40 dB. */
  private static final double FLOOR = 1e-4;

  /** Length of the spectrum's window in seconds. */
  private static final double WINDOW_S = 0.04;

  /** A dip by this much below what is around is a bow change or a breath, in dB. */
  private static final double DIP_DB = 2.5;

  /** Around: so many seconds on either side. */
  private static final double AROUND_S = 0.25;

  /** A change of the spectrum from point to point of so many times the median is one too. */
  private static final double SUDDEN = 5;

  /** Samples from point to point. */
  final int hop;

  /** By point: level in dB, the bands' levels in dB, cents above the note's frequency. */
  final double[] level;

  final double[][] bands;
  final double[] cents;

  /** By point: whether the bow changes there, or something knocks. */
  final boolean[] change;

  Features(float[] x, int sampleRate, double hz) {
    hop = Math.max(sampleRate / RATE, x.length / MAX_POINTS);
    int n = x.length / hop;
    level = new double[n];
    bands = new double[n][BANDS];
    cents = new double[n];
    change = new boolean[n];
    double needed = Math.max(WINDOW_S, 3 / hz) * sampleRate;
    int size = Integer.highestOneBit(Math.max(2, (int) needed - 1)) * 2;
    spectra(x, Fft.of(size), (double) sampleRate / size, hz);
    pitch(new HarmonicTrack(x, 0, x.length, sampleRate, hz));
    changes((double) sampleRate / hop);
  }

  private void spectra(float[] x, Fft fft, double binHz, double hz) {
    int size = fft.size();
    float[] window = new float[size];
    for (int i = 0; i < size; i++) {
      window[i] = (float) (0.5 - 0.5 * Math.cos(2 * Math.PI * (i + 0.5) / size));
    }
    // The bins of a band lie side by side: band b ends before bin ends[b].
    int[] ends = new int[BANDS];
    for (int k = 1; k < size / 2; k++) {
      double octave = Math.log(k * binHz / hz) / Math.log(2) + 0.5;
      ends[(int) Math.max(0, Math.min(BANDS - 1, octave))] = k + 1;
    }
    float[] part = new float[size];
    float[] bins = new float[fft.bins()];
    double[] power = new double[BANDS];
    for (int p = 0; p < level.length; p++) {
      int at = p * hop - size / 2;
      int first = Math.max(0, -at);
      int last = Math.max(first, Math.min(size, x.length - at));
      Arrays.fill(part, 0, first, 0);
      for (int i = first; i < last; i++) {
        part[i] = window[i] * x[at + i];
      }
      Arrays.fill(part, last, size, 0);
      fft.forward(part);
      fft.power(part, bins);
      double sum = 0;
      int from = 1;
      for (int b = 0; b < BANDS; b++) {
        power[b] = sum(bins, from, ends[b]);
        from = Math.max(from, ends[b]);
        sum += power[b];
      }
      level[p] = 10 * Math.log10(sum / size / size + 1e-20);
      for (int b = 0; b < BANDS; b++) {
        bands[p][b] = 10 * Math.log10((power[b] + FLOOR * sum) / (sum + 1e-20) + 1e-20);
      }
    }
  }

  /** Two sums, which do not wait for one another. */
  private static double sum(float[] values, int from, int to) {
    double even = 0;
    double odd = 0;
    int i = from;
    for (; i + 1 < to; i += 2) {
      even += values[i];
      odd += values[i + 1];
    }
    return even + odd + (i < to ? values[i] : 0);
  }

  private void pitch(HarmonicTrack track) {
    for (int p = 0; p < cents.length; p++) {
      int from = Math.max(0, (p * hop - hop / 2) / track.hop());
      int to = Math.min(track.size(), (p * hop + hop / 2) / track.hop() + 1);
      double sum = 0;
      double weight = 0;
      for (int i = from; i < to; i++) {
        if (!Double.isNaN(track.deviation(i))) {
          sum += track.power(i) * track.deviation(i);
          weight += track.power(i);
        }
      }
      cents[p] = weight > 0 ? 1200 / Math.log(2) * Math.log1p(sum / weight) : 0;
    }
  }

  private void changes(double pointsASecond) {
    int n = level.length;
    int around = (int) Math.ceil(AROUND_S * pointsASecond);
    double[] flux = new double[n];
    for (int p = 1; p < n; p++) {
      for (int b = 0; b < BANDS; b++) {
        flux[p] += Math.abs(bands[p][b] - bands[p - 1][b]) / BANDS;
      }
    }
    double usual = median(flux, 0, n);
    for (int p = 0; p < n; p++) {
      double middle = median(level, Math.max(0, p - around), Math.min(n, p + around + 1));
      change[p] = level[p] < middle - DIP_DB || flux[p] > SUDDEN * usual + 1;
    }
  }

  static double median(double[] values, int from, int to) {
    double[] sorted = Arrays.copyOfRange(values, from, to);
    Arrays.sort(sorted);
    return sorted.length == 0 ? 0 : sorted[sorted.length / 2];
  }

  /** How differently the note sounds around two points, 0 for alike; 1 can just be heard. */
  double difference(int a, int b, int reach) {
    double sum = 0;
    int count = 0;
    for (int k = -reach; k <= reach; k++) {
      int i = a + k;
      int j = b + k;
      if (i < 0 || j < 0 || i >= level.length || j >= level.length) {
        continue;
      }
      double loud = level[i] - level[j];
      double pitch = (cents[i] - cents[j]) / 4;
      double colour = 0;
      for (int band = 0; band < BANDS; band++) {
        double off = bands[i][band] - bands[j][band];
        colour += off * off / BANDS;
      }
      sum += loud * loud + pitch * pitch + colour / 4;
      count++;
    }
    return sum / count;
  }
}
