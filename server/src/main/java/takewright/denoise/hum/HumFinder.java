package takewright.denoise.hum;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import takewright.dsp.Decibels;

/**
 * Finds mains hum in frames of room tone.
 *
 * <p>A line that keeps its phase from frame to frame adds up in amplitude, noise only in power: so
 * neighbouring frames are added in phase, for each fundamental that a mains can have, and a line is
 * one that stands higher than noise does. The fundamental is the one whose multiples together hold
 * the most.
 */
public final class HumFinder {
  /** Mains frequencies, in hertz. */
  private static final double[] MAINS_HZ = {50, 60};

  /** How far the fundamental may be off: a grid in order stays within 1 % (EN 50160). */
  private static final double OFF_SHARE = 0.01;

  /** Spacing of the fundamentals tried, in hertz: the 20th line is then at most 0.2 Hz off. */
  private static final double STEP_HZ = 0.02;

  /** Lines above are few and weak, and hidden by the notes; in hertz. */
  static final double HIGHEST_HZ = 1050;

  /** Frames added in phase: a second, in which a mains hardly drifts. */
  private static final int RUN = 12;

  /** Frames examined: eleven seconds. */
  private static final int MOST_FRAMES = 128;

  /** Fewer neighbours say nothing of what is steady: half a second of room tone has four frames. */
  private static final int MIN_FRAMES = 4;

  /** Probability that noise passes for a line, among all that are tried. */
  private static final double FALSE_ALARM = 1e-9;

  /**
   * A line of the mains keeps its phase; that of a motor, which turns a little slower than the
   * mains and not evenly, or a rumble that happens to lie there, does not.
   */
  private static final double MIN_STEADINESS = 0.8;

  /** Hum is steady: all but a fifth of the runs hold at least this share of the median's power. */
  private static final double STEADY = 0.2;

  /**
   * Hum does not die away: from the first half of a run to the second, half a second later, its
   * lines lose less than this, in dB; the tail of a note that rings for 15 s loses as much.
   */
  private static final double FADING_DB = 2;

  /** At least one line must be among these. */
  private static final int LOWEST_LINES = 6;

  private final int sampleRate;
  private final int size;
  private final long[] position;
  private final float[][][] low;
  private final int channels;
  private final int lines;

  /** Runs of neighbouring frames: where each begins, and how many frames it has. */
  private final int[][] runs;

  /** Of the last fundamental tried, by line: power in phase over noise, in the median of runs. */
  private final double[] found;

  /** Of the same, the share of its power that keeps its phase through a run. */
  private final double[] steadiness;

  private final double[][] binPowers;

  /** Sum of the powers of the amplitudes that {@link #inPhase} added up last. */
  private double linePower;

  /**
   * @param size samples per frame; frames stand half a frame apart
   * @param position where each frame stands, in half frames; neighbours differ by 1
   * @param low the lowest bins of each frame by channel, packed
   */
  public HumFinder(int sampleRate, int size, long[] position, float[][][] low) {
    this.sampleRate = sampleRate;
    this.size = size;
    int n = Math.min(MOST_FRAMES, position.length);
    Integer[] order = new Integer[position.length];
    Arrays.setAll(order, i -> i);
    Arrays.sort(order, (a, b) -> Long.compare(position[a], position[b]));
    this.position = new long[n];
    this.low = new float[n][][];
    for (int i = 0; i < n; i++) {
      this.position[i] = position[order[i]];
      this.low[i] = low[order[i]];
    }
    channels = n == 0 ? 0 : low[0].length;
    lines = (int) (HIGHEST_HZ / MAINS_HZ[0]);
    found = new double[lines];
    steadiness = new double[lines];
    binPowers = new double[channels][n == 0 ? 0 : low[0][0].length / 2];
    runs = runs();
  }

  /** Bins a caller has to keep of each frame. */
  public static int bins(int sampleRate, int size) {
    int maxBin = (int) Math.ceil(HIGHEST_HZ * size / sampleRate) + 2 * LineProjection.REACH;
    return Math.min(maxBin, size / 2);
  }

  /** The hum; null if there is none. */
  public Hum find() {
    if (Arrays.stream(runs).mapToInt(run -> run[1]).sum() < MIN_FRAMES) {
      return null;
    }
    double best = 0;
    double fundamental = 0;
    for (double mains : MAINS_HZ) {
      int steps = (int) Math.round(OFF_SHARE * mains / STEP_HZ);
      for (int i = -steps; i <= steps; i++) {
        double hz = mains + i * STEP_HZ;
        listen(hz, Math.min(lines, 2 * LOWEST_LINES), null);
        double sum = 0;
        for (double power : found) {
          sum += Math.max(0, power - 1);
        }
        if (sum > best) {
          best = sum;
          // A maximum at the edge belongs to something beyond it.
          fundamental = Math.abs(i) == steps ? 0 : hz;
        }
      }
    }
    return fundamental == 0 ? null : at(fundamental);
  }

  private Hum at(double fundamental) {
    double[][] amplitude = new double[channels][lines];
    listen(fundamental, lines, amplitude);
    double limit = limit();
    int[] harmonics = new int[lines];
    int count = 0;
    for (int h = 1; h <= lines; h++) {
      if (found[h - 1] > limit && steadiness[h - 1] > MIN_STEADINESS) {
        harmonics[count++] = h;
      }
    }
    if (count == 0 || harmonics[0] > LOWEST_LINES) {
      return null;
    }
    harmonics = Arrays.copyOf(harmonics, count);
    if (fading(fundamental, harmonics)) {
      return null;
    }
    double[][] amplitudes = new double[channels][count];
    double[][] noise = new double[channels][count];
    double[] ofLines = new double[count];
    double power = 0;
    for (int c = 0; c < channels; c++) {
      for (int i = 0; i < count; i++) {
        int h = harmonics[i];
        ofLines[i] = steadiness[h - 1];
        amplitudes[c][i] = amplitude[c][h - 1];
        noise[c][i] = noise(c, h * fundamental);
        power += amplitudes[c][i] * amplitudes[c][i] / 2 / channels;
      }
    }
    return new Hum(fundamental, Decibels.fromPower(power), harmonics, amplitudes, noise, ofLines);
  }

  /**
   * What the median of the runs stays below: half of them would have to be above, each of which
   * happens by exp(-limit).
   */
  private double limit() {
    int half = runs.length / 2 + 1;
    double ways = 0;
    for (int i = 1; i <= half; i++) {
      ways += Math.log((double) (runs.length - half + i) / i);
    }
    return (ways - Math.log(FALSE_ALARM)) / half;
  }

  private int[][] runs() {
    List<int[]> all = new ArrayList<>();
    int maxLength = 0;
    for (int from = 0; from < position.length; ) {
      int n = 1;
      while (n < RUN && from + n < position.length && position[from + n] == position[from] + n) {
        n++;
      }
      all.add(new int[] {from, n});
      maxLength = Math.max(maxLength, n);
      from += n;
    }
    // Short ones say little, and are used only if there are no others.
    int minLength = Math.min(maxLength, RUN / 2);
    return all.stream().filter(run -> run[1] >= minLength).toArray(int[][]::new);
  }

  /**
   * Hears how much each line of a fundamental holds in a run of frames: the median, since a note's
   * tail may reach into some of them. Its amplitudes too where asked for.
   */
  private void listen(double fundamental, int maxHarmonic, double[][] amplitudes) {
    Arrays.fill(found, 0);
    double turnsAFrame = fundamental * size / 2 / sampleRate;
    double[] all = new double[runs.length];
    double[] one = new double[runs.length];
    for (int h = 1; h <= maxHarmonic; h++) {
      double bin = h * fundamental * size / sampleRate;
      if (bin + LineProjection.REACH >= low[0][0].length / 2.0) {
        continue;
      }
      LineProjection line = new LineProjection(size, bin);
      Arrays.fill(all, 0);
      double kept = 0;
      double whole = 0;
      for (int c = 0; c < channels; c++) {
        double noise = noise(c, h * fundamental);
        for (int r = 0; r < runs.length; r++) {
          int n = runs[r][1];
          double power = inPhase(line, c, runs[r], h * turnsAFrame);
          all[r] += power / (n * noise) / channels;
          one[r] = power / (n * n) - noise / n;
          kept += n * Math.max(0, one[r]);
          whole += n * Math.max(0, linePower / n - noise);
        }
        if (amplitudes != null) {
          amplitudes[c][h - 1] = Math.sqrt(Math.max(0, median(one)));
        }
      }
      found[h - 1] = median(all);
      steadiness[h - 1] = whole == 0 ? 0 : Math.min(1, kept / whole);
      if (all[(all.length - 1) / 5] < STEADY * found[h - 1]) {
        found[h - 1] = 0;
      }
    }
  }

  /** Whether the lines mostly decay within a run, as tails of notes do. */
  private boolean fading(double fundamental, int[] harmonics) {
    double turnsAFrame = fundamental * size / 2 / sampleRate;
    double[] first = new double[runs.length];
    double[] second = new double[runs.length];
    for (int h : harmonics) {
      LineProjection line = new LineProjection(size, h * fundamental * size / sampleRate);
      for (int r = 0; r < runs.length; r++) {
        int from = runs[r][0];
        int half = runs[r][1] / 2;
        for (int c = 0; c < channels; c++) {
          first[r] += inPhase(line, c, new int[] {from, half}, h * turnsAFrame);
          second[r] += inPhase(line, c, new int[] {from + half, half}, h * turnsAFrame);
        }
      }
    }
    double[] fades = new double[runs.length];
    Arrays.setAll(fades, r -> first[r] / Math.max(second[r], Double.MIN_NORMAL));
    return median(fades) > Decibels.toPower(FADING_DB);
  }

  /** Power of the sum of a line's amplitudes in a run, turned back; see {@link #linePower} too. */
  private double inPhase(LineProjection line, int channel, int[] run, double turnsAFrame) {
    double re = 0;
    double im = 0;
    linePower = 0;
    for (int i = 0; i < run[1]; i++) {
      line.of(low[run[0] + i][channel]);
      double angle = -2 * Math.PI * (turnsAFrame * i % 1);
      double cos = Math.cos(angle);
      double sin = Math.sin(angle);
      linePower += line.re * line.re + line.im * line.im;
      re += line.re * cos - line.im * sin;
      im += line.re * sin + line.im * cos;
    }
    return re * re + im * im;
  }

  private static double median(double[] values) {
    Arrays.sort(values);
    return values[(values.length - 1) / 2];
  }

  /** Noise in the amplitude of a line: of the bins three to either side, between the lines. */
  private double noise(int channel, double hz) {
    int k = (int) Math.round(hz * size / sampleRate);
    double below = binPower(channel, Math.max(1, k - 3));
    double above = binPower(channel, Math.min(k + 3, low[0][0].length / 2 - 1));
    return LineProjection.ofNoise(Math.max(Math.min(below, above), 1e-16), size);
  }

  /** Mean power of a bin of noise, from its median, which the tail of a note does not move. */
  private double binPower(int channel, int bin) {
    double known = binPowers[channel][bin];
    if (known > 0) {
      return known;
    }
    double[] powers = new double[low.length];
    for (int i = 0; i < powers.length; i++) {
      double re = low[i][channel][2 * bin];
      double im = low[i][channel][2 * bin + 1];
      powers[i] = re * re + im * im;
    }
    double power = median(powers) / Math.log(2);
    binPowers[channel][bin] = power;
    return power;
  }
}
