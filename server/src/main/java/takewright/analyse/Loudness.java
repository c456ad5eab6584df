package takewright.analyse;

import java.util.Arrays;
import takewright.dsp.Decibels;

/**
 * Loudness by ITU-R BS.1770-5 and EBU Tech 3341, loudness range by EBU Tech 3342, of audio fed in
 * blocks of any size. Memory grows by 16 bytes for every 0.1 s.
 *
 * <p>Channels weigh 1 each; of exactly five (left, right, centre, left and right surround) the last
 * two weigh 1.41. Of six or more all weigh 1, since their order is not known here.
 *
 * <p>Sound shorter than one window of 0.4 s has no loudness by the recommendation, yet a staccato
 * note needs one: it is measured as if silence followed up to 0.4 s. So its loudness rises with its
 * length, as it does for the ear, and there is no step at 0.4 s.
 */
final class Loudness {
  /** Windows move in steps of 10 ms, so that a window finds any event to within 0.06 dB. */
  private static final int SEGMENTS_A_SECOND = 100;

  /** 400 ms, the momentary window and the gating block. */
  private static final int MOMENTARY = 40;

  /** 3 s, the short-term window. */
  private static final int SHORT_TERM = 300;

  /** Gating blocks overlap by 75 %, so they begin 100 ms apart; short-term values as well. */
  private static final int APART = 10;

  private static final double ABSOLUTE_GATE = meanSquare(-70);

  /** The relative gate of the integrated loudness: 10 LU below the mean, as a factor. */
  private static final double RELATIVE_GATE = 0.1;

  /** The relative gate of the loudness range: 20 LU below the mean, as a factor. */
  private static final double RANGE_GATE = 0.01;

  private final int sampleRate;
  private final KWeighting[] filters;
  private final double[] weights;

  /** Energies of the last 3 s, by segment; a ring. */
  private final double[] segments = new double[SHORT_TERM];

  /** Segments completed. */
  private long completed;

  private double segment;
  private long frames;
  private double energy;

  private final Values blocks = new Values();
  private final Values shortTerms = new Values();
  private double momentary;
  private double momentaryMax;
  private double shortTerm;
  private double shortTermMax;

  Loudness(int sampleRate, int channels) {
    this.sampleRate = sampleRate;
    this.filters = new KWeighting[channels];
    this.weights = new double[channels];
    for (int c = 0; c < channels; c++) {
      filters[c] = new KWeighting(sampleRate);
      weights[c] = channels == 5 && c >= 3 ? 1.41 : 1;
    }
  }

  /** Processes the next frames, one array per channel. */
  void feed(float[][] planar, int offset, int count) {
    int at = offset;
    int left = count;
    while (left > 0) {
      int n = (int) Math.min(left, boundary(completed + 1) - frames);
      for (int c = 0; c < filters.length; c++) {
        segment += weights[c] * filters[c].energy(planar[c], at, n);
      }
      frames += n;
      at += n;
      left -= n;
      if (frames == boundary(completed + 1)) {
        complete();
      }
    }
  }

  /** The first frame of a segment; rates that 100 does not divide are spread evenly. */
  private long boundary(long segment) {
    return segment * sampleRate / SEGMENTS_A_SECOND;
  }

  private void complete() {
    segments[(int) (completed % SHORT_TERM)] = segment;
    energy += segment;
    segment = 0;
    completed++;
    if (completed >= MOMENTARY) {
      momentary = mean(MOMENTARY);
      momentaryMax = Math.max(momentaryMax, momentary);
      if ((completed - MOMENTARY) % APART == 0) {
        blocks.add(momentary);
      }
    }
    if (completed >= SHORT_TERM) {
      shortTerm = all() / (boundary(completed) - boundary(completed - SHORT_TERM));
      shortTermMax = Math.max(shortTermMax, shortTerm);
      if ((completed - SHORT_TERM) % APART == 0) {
        shortTerms.add(shortTerm);
      }
    }
  }

  /** The energy of all segments in the ring, as four sums that do not wait for one another. */
  private double all() {
    double a = 0;
    double b = 0;
    double c = 0;
    double d = 0;
    for (int s = 0; s < SHORT_TERM; s += 4) {
      a += segments[s];
      b += segments[s + 1];
      c += segments[s + 2];
      d += segments[s + 3];
    }
    return a + b + (c + d);
  }

  /** The mean square over the last segments. */
  private double mean(int count) {
    double sum = 0;
    int at = (int) ((completed - count) % SHORT_TERM);
    for (int s = 0; s < count; s++) {
      sum += segments[at];
      at = at + 1 == SHORT_TERM ? 0 : at + 1;
    }
    return sum / (boundary(completed) - boundary(completed - count));
  }

  /** Integrated loudness in LUFS; NaN if nothing lies above -70 LUFS. */
  double integrated() {
    if (completed < MOMENTARY) {
      double padded = padded();
      return padded > ABSOLUTE_GATE ? lufs(padded) : Double.NaN;
    }
    double[] loud = blocks.above(ABSOLUTE_GATE);
    return lufs(mean(above(loud, mean(loud) * RELATIVE_GATE)));
  }

  /** Loudness of the last 0.4 s in LUFS; NaN before there are as many. */
  double momentary() {
    return completed < MOMENTARY ? Double.NaN : lufs(momentary);
  }

  /** Loudness of the last 3 s in LUFS; NaN before there are as many. */
  double shortTerm() {
    return completed < SHORT_TERM ? Double.NaN : lufs(shortTerm);
  }

  /** Loudness of the loudest 0.4 s in LUFS; NaN for silence. */
  double momentaryMax() {
    return lufs(completed < MOMENTARY ? padded() : momentaryMax);
  }

  /** Loudness of the loudest 3 s in LUFS; NaN for silence or less than 3 s. */
  double shortTermMax() {
    return lufs(shortTermMax);
  }

  /** Loudness range in LU; NaN if no 3 s lie above -70 LUFS. */
  double range() {
    double[] loud = shortTerms.above(ABSOLUTE_GATE);
    double[] kept = above(loud, mean(loud) * RANGE_GATE);
    if (kept.length == 0) {
      return Double.NaN;
    }
    Arrays.sort(kept);
    // The percentiles are those of Tech 3342: the nearest value, not one between two.
    return lufs(kept[(int) Math.round((kept.length - 1) * 0.95)])
        - lufs(kept[(int) Math.round((kept.length - 1) * 0.10)]);
  }

  /** The mean square of everything, as if silence followed up to 0.4 s. */
  private double padded() {
    return (energy + segment) / (MOMENTARY * sampleRate / (double) SEGMENTS_A_SECOND);
  }

  private static double mean(double[] values) {
    double sum = 0;
    for (double value : values) {
      sum += value;
    }
    return sum / values.length;
  }

  private static double[] above(double[] values, double gate) {
    return Arrays.stream(values).filter(value -> value > gate).toArray();
  }

  private static double lufs(double meanSquare) {
    return meanSquare > 0 ? -0.691 + Decibels.fromPower(meanSquare) : Double.NaN;
  }

  private static double meanSquare(double lufs) {
    return Decibels.toPower(lufs + 0.691);
  }

  /** A list of doubles. */
  private static final class Values {
    private double[] values = new double[64];
    private int count;

    void add(double value) {
      if (count == values.length) {
        values = Arrays.copyOf(values, 2 * count);
      }
      values[count++] = value;
    }

    double[] above(double gate) {
      return Loudness.above(Arrays.copyOf(values, count), gate);
    }
  }
}
