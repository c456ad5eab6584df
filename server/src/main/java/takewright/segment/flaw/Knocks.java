package takewright.segment.flaw;

import takewright.dsp.Decibels;
import takewright.dsp.LinearPrediction;
import takewright.dsp.Windows;

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
public final class Knocks {
  /** Order of the prediction: two for each partial of a violin's lowest notes below 4 kHz. */
  private static final int ORDER = 40;

  /** Samples that one prediction holds for (40 ms); it is made of twice as many around them. */
  private static final int BLOCK = 320;

  /** Columns in which something rises between the partials by this much are listened to, in dB. */
  private static final double RISES_DB = 6;

  /** A blow whose error lies further below the note's peak nobody hears beside it, in dB. */
  private static final double BELOW_PEAK_DB = 36;

  private final NoteAudio note;
  private final float[] model = new float[2 * BLOCK];
  private final float[] shape = Windows.hann(2 * BLOCK);
  private float[] audio;
  private int count;

  public Knocks(NoteAudio note) {
    this.note = note;
  }

  /**
   * A blow over a note.
   *
   * @param db how far it stands out of what can be predicted of the note, in dB
   * @param frame where it is in the take
   */
  public record Blow(double db, long frame) {
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
  public Blow sharpest(long first, float[] rises, int from, int to) {
    audio = note.samples();
    count = note.count();
    Blow sharpest = Blow.NONE;
    double loudest = Double.NaN;
    for (int i = from; i < to; i++) {
      if (rises[i] >= RISES_DB) {
        int last = i;
        while (last + 1 < to && rises[last + 1] >= RISES_DB) {
          last++;
        }
        if (Double.isNaN(loudest)) {
          loudest = loudest(note.sample(first), count);
        }
        double least = loudest * Decibels.toPower(-BELOW_PEAK_DB);
        int start = Math.max(note.sample(first + from), note.sample(first + i - 1));
        int end = Math.min(note.sample(first + to), note.sample(first + last + 1));
        sharpest = sharpest.sharper(sharpest(start, end, least));
        i = last;
      }
    }
    return sharpest;
  }

  private double loudest(int from, int to) {
    float most = 0;
    for (int i = from; i < to; i++) {
      most = Math.max(most, Math.abs(audio[i]));
    }
    return (double) most * most;
  }

  private Blow sharpest(int from, int to, double least) {
    int step = PredictionError.STEP;
    int reach = PredictionError.REACH;
    int begin = Math.max(0, from - reach * step) / BLOCK * BLOCK;
    int end = Math.min(count, to + (reach + 2) * step);
    PredictionError error = new PredictionError(error(begin, end));
    Blow sharpest = Blow.NONE;
    for (int i = reach; i < error.end(); i++) {
      int at = begin + i * step;
      if (at >= from && at < to && error.power(i) >= least && error.isHighest(i)) {
        double db = Decibels.fromPower(error.power(i) / Math.max(1e-20, error.usual(i)));
        if (db > sharpest.db()) {
          sharpest = new Blow(db, note.frame(at));
        }
      }
    }
    return sharpest;
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
