package takewright.segment;

import java.util.Arrays;
import takewright.dsp.Decibels;
import takewright.dsp.LinearPrediction;
import takewright.dsp.Selection;
import takewright.dsp.Windows;
import takewright.segment.room.Columns;

/**
 * Hears knocks over a note to the millisecond: blows on a chair, a stand or the instrument.
 *
 * <p>Linear prediction takes a note's partials away and leaves the strokes of its bow or reed,
 * which come again at each period, and its noise. A blow stands out of that error for some
 * milliseconds; a change of bow or a breath, which is as strong, comes and goes over 20 ms and more
 * (S. Godsill and P. Rayner, Digital Audio Restoration, 1998, ch. 5: detection by the prediction
 * error).
 *
 * <p>It listens below 4 kHz, where blows on wood are strongest, and looks only where something has
 * risen between the partials.
 */
final class Knocks {
  /** Samples a second that it listens to, about. */
  private static final int RATE = 8000;

  /**
   * Length of the low-pass filter before every second mean is taken, in means: those of as many
   * frames as make twice the rate that is kept, which costs a third of a filter over all frames.
   */
  private static final int FILTER = 12;

  /** Its cut-off, as a share of half the lower rate. */
  private static final double CUTOFF = 0.9;

  /** Order of the prediction: two for each partial of a violin's lowest notes below 4 kHz. */
  private static final int ORDER = 40;

  /** Samples that one prediction holds for (40 ms); it is made of twice as many around them. */
  private static final int BLOCK = 320;

  /** Samples of which the error is a mean square (1.5 ms), twice as many as lie between two. */
  private static final int STEP = 6;

  /** Steps on either side that a blow may take up itself (6 ms). */
  private static final int GUARD = 8;

  /** Steps on either side that it is compared with, up to here (25 ms). */
  private static final int REACH = 33;

  /** Share of them that it must stand above. */
  private static final double SHARE = 0.85;

  /** Columns in which something rises between the partials by this much are listened to, in dB. */
  private static final double RISES_DB = 6;

  /** A blow whose error lies further below the note's peak nobody hears beside it, in dB. */
  private static final double BELOW_PEAK_DB = 36;

  private final Columns columns;
  private final int mean;
  private final int every;
  private final float[] filter;
  private final float[] input;

  /** The means with even and with odd indices. */
  private final float[][] means = new float[2][];

  private final float[] early;
  private final float[] late;
  private final float[] filtered;
  private final float[] model = new float[2 * BLOCK];
  private final float[] shape = Windows.hann(2 * BLOCK);
  private final float[] beside = new float[REACH - GUARD];
  private float[] audio = new float[4 * RATE];
  private int count;

  /** Frame of the first sample, and of the next. */
  private long firstFrame;

  private long nextFrame;

  Knocks(Columns columns) {
    this.columns = columns;
    mean = Math.max(1, (int) Math.round(columns.sampleRate() / (2.0 * RATE)));
    every = 2 * mean;
    filter = lowPass();
    int atMost = columns.hop() / every + 1;
    means[0] = new float[atMost + FILTER / 2];
    means[1] = new float[atMost + FILTER / 2];
    early = new float[atMost];
    late = new float[atMost];
    filtered = new float[atMost];
    input = new float[2 * means[0].length * mean];
  }

  private static float[] lowPass() {
    float[] filter = new float[FILTER];
    double sum = 0;
    for (int i = 0; i < FILTER; i++) {
      double t = i - (FILTER - 1) / 2.0;
      double phase = Math.PI * CUTOFF * t / 2;
      double window = Math.cos(Math.PI * t / FILTER);
      filter[i] = (float) (Math.sin(phase) / phase * window * window);
      sum += filter[i];
    }
    for (int i = 0; i < FILTER; i++) {
      filter[i] /= (float) sum;
    }
    return filter;
  }

  /** Begins with another note. */
  void reset() {
    count = 0;
  }

  /** Takes the samples of the next column in; a note has a bounded number of them. */
  void add(long column) {
    int hop = columns.hop();
    long from = column * hop - hop / 2;
    if (count == 0 || nextFrame < from) {
      // What lies apart from the samples before cannot be predicted from them.
      count = 0;
      firstFrame = from;
      nextFrame = from;
    }
    columns.audio().copy(nextFrame - FILTER / 2 * mean, input, input.length);
    for (int m = 0; m < 2 * means[0].length; m++) {
      float sum = 0;
      for (int i = m * mean; i < (m + 1) * mean; i++) {
        sum += input[i];
      }
      means[m & 1][m >> 1] = sum / mean;
    }
    int n = (int) ((from + hop - nextFrame + every - 1) / every);
    filter(n);
    if (count + n > audio.length) {
      audio = Arrays.copyOf(audio, 2 * audio.length);
    }
    System.arraycopy(filtered, 0, audio, count, n);
    count += n;
    nextFrame += (long) n * every;
  }

  /**
   * The low-pass filter at every second mean: taps outside and samples inside, all from 0, which
   * HotSpot vectorises.
   */
  private void filter(int n) {
    Arrays.fill(filtered, 0, n, 0);
    for (int k = 0; k < FILTER / 2; k++) {
      int mirrored = FILTER - 1 - k;
      System.arraycopy(means[k & 1], k >> 1, early, 0, n);
      System.arraycopy(means[mirrored & 1], mirrored >> 1, late, 0, n);
      float tap = filter[k];
      for (int i = 0; i < n; i++) {
        filtered[i] += tap * (early[i] + late[i]);
      }
    }
  }

  /**
   * A blow over a note.
   *
   * @param db how far it stands out of what can be predicted of the note, in dB
   * @param frame where it is in the take
   */
  record Blow(double db, long frame) {
    static final Blow NONE = new Blow(0, -1);

    Blow sharper(Blow other) {
      return other.db > db ? other : this;
    }
  }

  /**
   * The sharpest blow over a note.
   *
   * @param first the note's first column
   * @param rises how far something rises between its partials, in dB by column from that one on
   * @param from index of the first of these in which a blow counts
   * @param to index behind the last
   */
  Blow sharpest(long first, float[] rises, int from, int to) {
    Blow sharpest = Blow.NONE;
    double loudest = Double.NaN;
    for (int i = from; i < to; i++) {
      if (rises[i] >= RISES_DB) {
        int last = i;
        while (last + 1 < to && rises[last + 1] >= RISES_DB) {
          last++;
        }
        if (Double.isNaN(loudest)) {
          loudest = loudest(sample(first), count);
        }
        double least = loudest * Decibels.toPower(-BELOW_PEAK_DB);
        int start = Math.max(sample(first + from), sample(first + i - 1));
        int end = Math.min(sample(first + to), sample(first + last + 1));
        sharpest = sharpest.sharper(sharpest(start, end, least));
        i = last;
      }
    }
    return sharpest;
  }

  /** Index of the sample at a column's middle. */
  private int sample(long column) {
    return (int) Math.max(0, Math.min(count, (column * columns.hop() - firstFrame) / every));
  }

  private double loudest(int from, int to) {
    float most = 0;
    for (int i = from; i < to; i++) {
      most = Math.max(most, Math.abs(audio[i]));
    }
    return (double) most * most;
  }

  private Blow sharpest(int from, int to, double least) {
    int begin = Math.max(0, from - REACH * STEP) / BLOCK * BLOCK;
    int end = Math.min(count, to + (REACH + 2) * STEP);
    float[] power = power(error(begin, end));
    Blow sharpest = Blow.NONE;
    for (int i = REACH; i + REACH < power.length; i++) {
      int at = begin + i * STEP;
      if (at >= from && at < to && power[i] >= least && isHighest(power, i)) {
        float around = Math.max(usual(power, i - REACH), usual(power, i + GUARD + 1));
        double db = Decibels.fromPower(power[i] / Math.max(1e-20, around));
        if (db > sharpest.db()) {
          sharpest = new Blow(db, firstFrame + (long) at * every);
        }
      }
    }
    return sharpest;
  }

  private static boolean isHighest(float[] power, int at) {
    for (int k = at - GUARD; k <= at + GUARD; k++) {
      if (power[k] > power[at]) {
        return false;
      }
    }
    return true;
  }

  /** What most of the steps beside a blow stay under, from one on. */
  private float usual(float[] power, int from) {
    System.arraycopy(power, from, beside, 0, beside.length);
    return Selection.find(beside, beside.length, (int) (SHARE * beside.length));
  }

  /** Mean square of the prediction error, by step. */
  private static float[] power(float[] error) {
    float[] power = new float[Math.max(0, error.length / STEP - 1)];
    for (int i = 0; i < power.length; i++) {
      float sum = 0;
      for (int k = i * STEP; k < (i + 2) * STEP; k++) {
        sum += error[k] * error[k];
      }
      power[i] = sum / (2 * STEP);
    }
    return power;
  }

  private float[] error(int from, int to) {
    float[] error = new float[to - from];
    for (int block = from; block < to; block += BLOCK) {
      int start = Math.max(0, Math.min(count - model.length, block - BLOCK / 2));
      int length = Math.min(model.length, count - start);
      for (int i = 0; i < length; i++) {
        model[i] = audio[start + i] * shape[i];
      }
      double[] a = LinearPrediction.whitening(model, 0, length, ORDER);
      for (int i = block; i < Math.min(to, block + BLOCK); i++) {
        error[i - from] = (float) predictionError(a, i);
      }
    }
    return error;
  }

  private double predictionError(double[] a, int at) {
    double even = 0;
    double odd = 0;
    int reach = Math.min(at, ORDER);
    for (int k = 0; k + 1 <= reach; k += 2) {
      even += a[k] * audio[at - k];
      odd += a[k + 1] * audio[at - k - 1];
    }
    return even + odd + (reach % 2 == 0 ? a[reach] * audio[at - reach] : 0);
  }
}
