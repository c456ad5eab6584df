package takewright.segment;

import java.util.Arrays;
import takewright.dsp.Biquad;
import takewright.dsp.Decibels;
import takewright.dsp.Peak;
import takewright.dsp.Selection;
import takewright.segment.Blemishes.Aperiodic;
import takewright.segment.flaw.Excess;
import takewright.segment.flaw.NoteAudio;

/**
 * Measures what comes and goes in a note beside its periodic part.
 *
 * <p>A note is alike from one period to the next, whatever its partials are; what is laid over it
 * is not. The mean of the period before and the one behind is taken away from each sample, which
 * follows a level and a pitch that move steadily, and what stays is followed in three bands. The
 * period is that at which a stretch agrees best with the one behind it (normalised correlation near
 * the known pitch, with a parabola through the best three lags: P. Boersma, Accurate short-term
 * analysis of the fundamental frequency and the harmonics-to-noise ratio of a sampled sound, Proc.
 * Inst. Phonetic Sciences 17, 1993).
 */
final class Aperiodicity {
  /** Edges of the bands, in hertz. */
  private static final double[] EDGES_HZ = {150, 600, 1500, 3000};

  /** A note above this has too few samples in a period, in hertz. */
  private static final double HIGHEST_HZ = 2000;

  /** The period is looked for within this share of the known one: a vibrato's width and more. */
  private static final double REACH = 0.045;

  /** Samples from one period found to the next (10 ms). */
  private static final int BLOCK = 80;

  /** A stretch that is compared is at least this many blocks and this many periods long. */
  private static final int MIN_BLOCKS = 3;

  private static final int MIN_PERIODS = 3;

  /** Periods found that each is the median of. */
  private static final int SMOOTH = 5;

  /**
   * Power of the rest where something is laid over a note that has nothing to do with it, as a
   * multiple of its own: half of the samples a period before and behind is taken off with it.
   */
  private static final double REST = 1.5;

  /** What rises by less than this over what lies before and behind is the note's own, in dB. */
  private static final float OWN_DB = 3;

  /** The note's level is what this share of its loud columns stay under, */
  private static final double LOUD = 0.8;

  /**
   * which lie within so much of its loudest, as a ratio of powers (10 dB): a region may hold
   * seconds of room behind a struck note of a fifth of a second.
   */
  private static final double NEAR_LOUDEST = 0.1;

  private static final double SILENCE = 1e-12;

  private final NoteAudio audio;
  private final double columnS;
  private final Excess excess = new Excess();

  Aperiodicity(NoteAudio audio, double columnS) {
    this.audio = audio;
    this.columnS = columnS;
  }

  /**
   * What comes and goes in a note.
   *
   * @param hertz its pitch
   * @param first its first column
   * @param weight by column from that one on, how far what is heard there counts, 0 to 1
   */
  Aperiodic of(double hertz, long first, float[] weight) {
    int from = audio.sample(first);
    int n = audio.sample(first + weight.length) - from;
    boolean hasBands = 2 * EDGES_HZ[EDGES_HZ.length - 1] < audio.rate();
    if (!hasBands || hertz > HIGHEST_HZ || n < (MIN_BLOCKS + 1) * BLOCK) {
      return Aperiodic.NONE;
    }
    float[] periods = periods(audio.rate() / hertz, from, n);
    float[] rest = rest(periods, from, n);
    float[] power = power(null, first, weight.length, from);
    double loud = level(power);
    int settled = Excess.settled(hertz, columnS);
    Aperiodic.Band[] bands = new Aperiodic.Band[EDGES_HZ.length - 1];
    for (int b = 0; b < bands.length; b++) {
      float[] band = band(rest, EDGES_HZ[b], EDGES_HZ[b + 1]);
      bands[b] =
          band(power(band, first, weight.length, from), weight, Math.max(SILENCE, loud), settled);
    }
    return new Aperiodic(bands[0], bands[1], bands[2]);
  }

  /** The level of a note, as a power, while it is loud. */
  private static double level(float[] power) {
    float loudest = 0;
    for (float column : power) {
      loudest = Math.max(loudest, column);
    }
    float[] loud = new float[power.length];
    int found = 0;
    for (float column : power) {
      if (column >= NEAR_LOUDEST * loudest) {
        loud[found++] = column;
      }
    }
    return Selection.find(loud, found, (int) (LOUD * (found - 1)));
  }

  /** The period around each block, in samples. */
  private float[] periods(double period, int from, int n) {
    int shortest = Math.max(1, (int) Math.floor(period * (1 - REACH)) - 1);
    int longest = (int) Math.ceil(period * (1 + REACH)) + 1;
    int blocks = n / BLOCK;
    int reach = Math.max(MIN_BLOCKS, (int) Math.ceil(MIN_PERIODS * period / BLOCK));
    double[] energy = energy(from);
    float[][] agreement = new float[longest - shortest + 1][];
    for (int lag = shortest; lag <= longest; lag++) {
      agreement[lag - shortest] = agreement(lag, from, energy, blocks, reach);
    }
    float[] found = new float[blocks];
    for (int b = 0; b < blocks; b++) {
      int best = 1;
      for (int k = 1; k + 1 < agreement.length; k++) {
        best = agreement[k][b] > agreement[best][b] ? k : best;
      }
      double left = agreement[best - 1][b];
      double middle = agreement[best][b];
      double right = agreement[best + 1][b];
      double curve = left - 2 * middle + right;
      double off = curve < 0 ? 0.5 * (left - right) / curve : 0;
      found[b] = (float) (shortest + best + Math.max(-0.5, Math.min(0.5, off)));
    }
    return smooth(found);
  }

  private static float[] smooth(float[] values) {
    float[] smooth = new float[values.length];
    float[] near = new float[SMOOTH];
    for (int i = 0; i < values.length; i++) {
      int from = Math.max(0, i - SMOOTH / 2);
      int to = Math.min(values.length, i + SMOOTH / 2 + 1);
      System.arraycopy(values, from, near, 0, to - from);
      smooth[i] = Selection.find(near, to - from, (to - from) / 2);
    }
    return smooth;
  }

  /** How far the stretch around each block agrees with the one that lies a lag behind it. */
  private float[] agreement(int lag, int from, double[] energy, int blocks, int reach) {
    float[] product = new float[blocks];
    float[] x = audio.samples();
    for (int b = 0; b < blocks; b++) {
      int start = from + b * BLOCK;
      int end = Math.min(audio.count() - lag, start + BLOCK);
      product[b] = product(x, start, end, lag);
    }
    float[] agreement = new float[blocks];
    for (int b = 0; b < blocks; b++) {
      int first = Math.max(0, b - reach / 2);
      int end = Math.min(blocks, b - reach / 2 + reach);
      double sum = 0;
      for (int k = first; k < end; k++) {
        sum += product[k];
      }
      double own = energy[end * BLOCK] - energy[first * BLOCK];
      int last = energy.length - 1;
      double behind =
          energy[Math.min(last, end * BLOCK + lag)] - energy[Math.min(last, first * BLOCK + lag)];
      agreement[b] = (float) (sum / Math.sqrt((own + SILENCE) * (behind + SILENCE)));
    }
    return agreement;
  }

  /**
   * Sum of products with the samples a lag behind; in four sums, which do not wait for each other.
   */
  private static float product(float[] x, int start, int end, int lag) {
    float first = 0;
    float second = 0;
    float third = 0;
    float fourth = 0;
    int i = start;
    for (; i + 3 < end; i += 4) {
      first += x[i] * x[i + lag];
      second += x[i + 1] * x[i + 1 + lag];
      third += x[i + 2] * x[i + 2 + lag];
      fourth += x[i + 3] * x[i + 3 + lag];
    }
    for (; i < end; i++) {
      first += x[i] * x[i + lag];
    }
    return first + second + (third + fourth);
  }

  /** Running sum of squares from a sample to the last. */
  private double[] energy(int from) {
    float[] x = audio.samples();
    double[] energy = new double[audio.count() - from + 1];
    for (int i = 0; i + 1 < energy.length; i++) {
      energy[i + 1] = energy[i] + x[from + i] * x[from + i];
    }
    return energy;
  }

  /** Each sample less the mean of those a period before and behind it. */
  private float[] rest(float[] periods, int from, int n) {
    int reach = (int) Peak.of(periods, 0, periods.length) + 3;
    // What was not taken in counts as silence.
    float[] padded = new float[n + 2 * reach];
    int first = Math.max(0, from - reach);
    int end = Math.min(audio.count(), from + n + reach);
    System.arraycopy(audio.samples(), first, padded, first - from + reach, end - first);
    float[] rest = Arrays.copyOfRange(padded, reach, reach + n);
    // From the middle of each block to that of the next the period changes steadily.
    int blocks = periods.length;
    for (int b = 0; b <= blocks; b++) {
      int middle = b == 0 ? 0 : b * BLOCK - BLOCK / 2;
      int next = b == blocks ? n : b * BLOCK + BLOCK / 2;
      float period = periods[Math.max(0, b - 1)];
      float slope = (periods[Math.min(blocks - 1, b)] - period) / BLOCK;
      takeBeside(padded, reach, rest, middle, next, period, slope);
    }
    return rest;
  }

  private static void takeBeside(
      float[] padded, int reach, float[] rest, int from, int to, float period, float slope) {
    for (int i = from; i < to; i++) {
      rest[i] -= beside(padded, reach + i, period + (i - from) * slope);
    }
  }

  /**
   * The mean of the values a distance before and behind a sample: each a cubic through the four
   * samples around it (Catmull-Rom), whose weights mirror each other.
   */
  private static float beside(float[] x, int at, float distance) {
    int whole = (int) distance;
    float f = distance - whole;
    float g = 1 - f;
    int behind = at - whole;
    int ahead = at + whole;
    float near = (2 + f * f * (3 * f - 5)) * (x[ahead] + x[behind]);
    float far = (2 + g * g * (3 * g - 5)) * (x[ahead + 1] + x[behind - 1]);
    float nearer = f * g * g * (x[ahead - 1] + x[behind + 1]);
    float farther = f * f * g * (x[ahead + 2] + x[behind - 2]);
    return (near + far - nearer - farther) / 4;
  }

  private float[] band(float[] rest, double lowHz, double highHz) {
    double centre = Math.sqrt(lowHz * highHz);
    Biquad filter = Biquad.bandPass(audio.rate(), centre, centre / (highHz - lowHz));
    float[] band = rest.clone();
    filter.process(band, 0, band.length);
    return band;
  }

  /** Mean square by column of a signal of the note, or of the note itself. */
  private float[] power(float[] signal, long first, int columns, int from) {
    float[] x = signal == null ? audio.samples() : signal;
    int shift = signal == null ? 0 : from;
    float[] power = new float[columns];
    for (int c = 0; c < columns; c++) {
      int start = audio.sample(first + c) - shift;
      int end = audio.sample(first + c + 1) - shift;
      double sum = 0;
      for (int i = start; i < end; i++) {
        sum += x[i] * x[i];
      }
      power[c] = (float) (sum / Math.max(1, end - start));
    }
    return power;
  }

  private Aperiodic.Band band(float[] power, float[] weight, double loud, int settled) {
    float[] level = new float[power.length];
    for (int i = 0; i < level.length; i++) {
      level[i] = (float) Decibels.fromPower(power[i] + SILENCE);
    }
    float[] over = excess.of(level);
    double most = 0;
    double sum = 0;
    int from = settled;
    // What has risen with the note and not sunk since is its own: a bar's or a string's partials.
    while (from < power.length && over[from] > OWN_DB) {
      from++;
    }
    for (int i = from; i < power.length - Excess.LAST; i++) {
      if (over[i] > OWN_DB) {
        double foreign =
            weight[i] * power[i] * (1 - Decibels.toPower(OWN_DB - over[i])) / (REST * loud);
        most = Math.max(most, foreign);
        sum += foreign * columnS;
      }
    }
    double least = Decibels.toPower(Aperiodic.LEAST_DB);
    return new Aperiodic.Band(
        Decibels.fromPower(Math.max(least, most)), Decibels.fromPower(Math.max(least, sum)));
  }
}
