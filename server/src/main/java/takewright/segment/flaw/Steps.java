package takewright.segment.flaw;

import java.util.Arrays;
import takewright.dsp.Decibels;

/** A short note in steps of 10 ms. */
final class Steps {
  private static final double STEP_S = 0.01;

  /** The period is sought this share of the known one above and below it: a vibrato and more. */
  private static final double REACH = 0.02;

  /** Lags are tried at this distance, as a share of the period. */
  private static final double LAG = 0.003;

  /** At a lag, so much of the sound is compared, in seconds: a few steps. */
  private static final double AGREE_S = 0.03;

  /** The least number of periods that are compared: a single one agrees with almost anything. */
  private static final int AGREE_PERIODS = 3;

  /** This share of the loud steps is softer than what counts as the level of the note. */
  private static final double LOUD = 0.8;

  /** Steps are loud down to this share of the power of the loudest (-10 dB). */
  private static final double NEAR_LOUDEST = 0.1;

  /** Power of the rest where nothing repeats, as a multiple of the sound's own. */
  private static final double REST = 1.5;

  private static final double SILENCE = 1e-12;

  private final float[] sound;
  private final int from;
  private final int rate;
  private final int step;
  private final int count;
  private final double loud;

  Steps(float[] sound, int from, int to, int sampleRate) {
    this.sound = sound;
    this.from = from;
    rate = sampleRate;
    step = (int) (STEP_S * sampleRate);
    count = Math.max(0, (to - from) / step);
    double[] power = new double[count];
    for (int i = 0; i < count; i++) {
      power[i] = power(sound, i, 0);
    }
    double loudest = Arrays.stream(power).max().orElse(0);
    double[] near = Arrays.stream(power).filter(p -> p >= NEAR_LOUDEST * loudest).toArray();
    Arrays.sort(near);
    loud = SILENCE + (count == 0 ? 0 : near[(int) (LOUD * (near.length - 1))]);
  }

  int count() {
    return count;
  }

  /** Level of the note by step, in dB relative to the note while it is loud. */
  double[] levelDb() {
    double[] db = new double[count];
    for (int i = 0; i < count; i++) {
      db[i] = db(power(sound, i, 0));
    }
    return db;
  }

  /** A power in dB relative to the note while it is loud. */
  double db(double power) {
    return Decibels.fromPower(SILENCE + power / loud);
  }

  /** Level of what does not repeat by step, in dB relative to the note while it is loud. */
  double[] restDb(float[] rest) {
    double[] db = new double[count];
    for (int i = 0; i < count; i++) {
      db[i] = db(power(rest, i, step / 2) / REST);
    }
    return db;
  }

  /** Mean square of a step and of so much more on either side. */
  private double power(float[] signal, int at, int more) {
    int start = Math.max(0, from + at * step - more);
    int end = Math.min(signal.length, from + (at + 1) * step + more);
    double sum = 0;
    for (int i = start; i < end; i++) {
      sum += signal[i] * signal[i];
    }
    return sum / Math.max(1, end - start);
  }

  /** The lag in samples at which the sound around each step agrees best with itself. */
  int[] lags(double period) {
    int[] lags = new int[count];
    for (int i = 0; i < count; i++) {
      lags[i] = lag(from + i * step + step / 2, period);
    }
    return lags;
  }

  private int lag(int centre, double period) {
    int length = (int) Math.max(AGREE_S * rate, AGREE_PERIODS * period);
    int longest = (int) (period * (1 + REACH)) + 1;
    int start = Math.max(0, centre - length / 2);
    int end = Math.min(start + length, sound.length - longest);
    int best = (int) Math.round(period);
    double most = Double.NEGATIVE_INFINITY;
    int by = Math.max(1, (int) (LAG * period));
    for (int lag = (int) (period * (1 - REACH)); lag <= longest; lag += by) {
      double product = 0;
      double behind = SILENCE;
      for (int i = start; i < end; i++) {
        product += sound[i] * sound[i + lag];
        behind += sound[i + lag] * sound[i + lag];
      }
      double agreement = product / Math.sqrt(behind);
      if (agreement > most) {
        most = agreement;
        best = lag;
      }
    }
    return best;
  }

  /** A band of the sound less the mean of what lies a lag before and behind. */
  float[] rest(float[] band, int[] lags) {
    float[] rest = new float[band.length];
    for (int i = from; i < Math.min(band.length, from + count * step); i++) {
      int lag = lags[(i - from) / step];
      if (i >= lag && i + lag < band.length) {
        rest[i] = band[i] - (band[i - lag] + band[i + lag]) / 2;
      }
    }
    return rest;
  }
}
