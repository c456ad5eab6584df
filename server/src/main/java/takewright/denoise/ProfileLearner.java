package takewright.denoise;

import java.util.Arrays;
import takewright.audio.Clip;
import takewright.dsp.Decibels;
import takewright.dsp.Fft;
import takewright.dsp.Selection;
import takewright.dsp.Windows;

/**
 * Collects frames of noise and makes a profile of them.
 *
 * <p>To find the quiet of a take, frames are ranked by the mean of their spectrum's logarithm. It
 * hears a note in any bin, hum or rumble do not sway it, and over room tone it stays within some
 * tenths of a dB, so that taking the lowest of many takes hardly too low a noise.
 */
final class ProfileLearner {
  /** Frames kept: the error of a bin's mean is then about 0.3 dB, with frames that half overlap. */
  private static final int KEPT = 256;

  /** Quiet that is needed to be believed, in seconds. */
  private static final double ENOUGH_S = 0.5;

  /** How far frames of one room tone differ in mean logarithm, in dB. */
  private static final double ALIKE_DB = 0.5;

  /** How far below the loudest frame room tone must lie (RMS), or it may be a note held softly. */
  private static final double CONTRAST_DB = 10;

  /** Mean of the room tone's power up to this many times its median: beyond is not the room. */
  private static final double OUTLIER = 5;

  /** Median over mean, and mean of what is cut off at OUTLIER medians, for exponential powers. */
  private static final double MEDIAN_SHARE = Math.log(2);

  private static final double CUT_SHARE = 1 - Math.exp(-OUTLIER * MEDIAN_SHARE);

  /**
   * The same for the lowest and the highest bin, which are real: their power has one degree of
   * freedom, the median 0.4549 of the mean, and of a mean cut off there 0.7817 is left (with x = 5
   * * 0.4549, the chance that chi squared of 3 degrees stays below x, and x times the chance that
   * chi squared of 1 does not).
   */
  private static final double CUT_SHARE_REAL = 0.7817;

  /** Power that is left of a line of hum: 20 dB are taken away at least, where it is strong. */
  private static final float HUM_LEFT = 0.01f;

  /** Rumble lies below this, notes above the second, and what is compared below the third; Hz. */
  private static final double RUMBLE_HZ = 13;

  private static final double LOWEST_HZ = 28;
  private static final double LOW_HZ = 120;

  /** Pink noise, as of most rooms, has 9 dB more there, brown noise 18 dB. */
  private static final double RUMBLE_DB = 20;

  /** Softer rumble than this in one bin does no harm. */
  private static final double RUMBLE_DBFS = -95;

  /** Power that counts as left of rumble at least, to keep numbers finite. */
  private static final double RUMBLE_LEFT = 1e-4;

  /** Bands in which rooms are compared, a third of an octave each, from this frequency up. */
  private static final int BANDS = 24;

  private static final double LOWEST_BAND_HZ = 80;

  /** Position of a frame that is no neighbour of any. */
  private static final long NOWHERE = -1;

  /** RMS below which a frame is digital silence: far below the last bit of 24. */
  private static final double SILENCE_DBFS = -150;

  private final int sampleRate;
  private final int size;
  private final int hop;
  private final Fft fft;
  private final float[] window;
  private final double windowPower;
  private final float[][] frame;
  private final float[] packed;
  private final float[] single;
  private final float[] sum;
  private final int every;
  private final int[] bandOf;
  private final float[][] kept = new float[KEPT][];

  /** The lowest bins of the frames kept, by channel, and where the frames stand: to find hum in. */
  private final float[][][] low = new float[KEPT][][];

  private final long[] position = new long[KEPT];
  private final float[][] lowest;
  private final double[] rank = new double[KEPT];
  private final double[] level = new double[KEPT];
  private int count;
  private long blocks;
  private long stretches;
  private double loudest;
  private double lastDbfs;
  private double lastRank;

  /**
   * @param frames frames of room tone that will be added, so that a selection can be made evenly
   */
  ProfileLearner(int sampleRate, int channels, long frames) {
    this.sampleRate = sampleRate;
    this.size = Resolution.size(sampleRate);
    this.hop = size / 2;
    this.fft = Fft.of(size);
    this.window = Windows.hann(size);
    this.windowPower = Windows.power(window);
    this.frame = new float[channels][size];
    this.packed = new float[size];
    this.single = new float[fft.bins()];
    this.sum = new float[fft.bins()];
    this.bandOf = bandsOfBins();
    this.lowest = new float[channels][2 * HumFinder.bins(sampleRate, size)];
    this.every = (int) Math.max(1, Math.min(Integer.MAX_VALUE, frames / hop / KEPT + 1));
  }

  /** Frames a block for {@link #add}. */
  int hop() {
    return hop;
  }

  /** Takes the next block of a take. */
  void add(float[][] block) {
    for (int c = 0; c < frame.length; c++) {
      System.arraycopy(frame[c], hop, frame[c], 0, hop);
      System.arraycopy(block[c], 0, frame[c], hop, hop);
    }
    if (++blocks < 2) {
      return;
    }
    double power = analyse(window, size, windowPower);
    lastDbfs = Decibels.fromPower(power);
    loudest = Math.max(loudest, power);
    if (lastDbfs < SILENCE_DBFS) {
      return;
    }
    lastRank = meanLogarithm(sum);
    keep(lastRank, power, blocks);
  }

  /** Takes a stretch that is room tone for sure. */
  void addRoomTone(Clip clip) {
    int shortest = Math.max(2, sampleRate / 50);
    if (clip.frames() < shortest) {
      return;
    }
    int length = Math.min(size, clip.frames());
    float[] taper = length == size ? window : Windows.hann(length);
    double taperPower = Windows.power(taper);
    for (int from = 0; from + length <= clip.frames(); from += hop) {
      if (stretches++ % every != 0) {
        continue;
      }
      for (int c = 0; c < frame.length; c++) {
        Arrays.fill(frame[c], 0);
        System.arraycopy(clip.channel(c), from, frame[c], 0, length);
      }
      double power = analyse(taper, length, taperPower);
      keep(meanLogarithm(sum), power, length == size ? stretches : NOWHERE);
    }
  }

  /** Fills {@link #sum} with the mean power of the channels as under a whole window. */
  private double analyse(float[] taper, int length, double taperPower) {
    Arrays.fill(sum, 0);
    float scale = (float) (windowPower / taperPower / frame.length);
    for (int c = 0; c < frame.length; c++) {
      float[] channel = frame[c];
      for (int i = 0; i < length; i++) {
        float x = channel[i];
        packed[i] = Math.abs(x) <= Float.MAX_VALUE ? x * taper[i] : 0;
      }
      Arrays.fill(packed, length, size, 0);
      fft.forward(packed);
      fft.power(packed, single);
      System.arraycopy(packed, 0, lowest[c], 0, lowest[c].length);
      for (int k = 0; k < sum.length; k++) {
        sum[k] += single[k] * scale;
      }
    }
    return meanSquare(sum);
  }

  /** The mean square of the samples behind a spectrum under the window. */
  private double meanSquare(float[] spectrum) {
    double total = 0;
    for (int k = 1; k < spectrum.length - 1; k++) {
      total += 2 * spectrum[k];
    }
    total += spectrum[0] + spectrum[spectrum.length - 1];
    return total / (size * windowPower);
  }

  /**
   * In dB. The bits of a float read as a whole number grow with its logarithm, well enough here.
   */
  private static double meanLogarithm(float[] spectrum) {
    long bits = 0;
    for (float p : spectrum) {
      bits += Float.floatToRawIntBits(p);
    }
    return (double) bits / spectrum.length / (1 << 23) * 10 * Math.log10(2);
  }

  private void keep(double newRank, double power, long newPosition) {
    int at = count;
    if (count == KEPT) {
      at = 0;
      for (int i = 1; i < KEPT; i++) {
        at = rank[i] > rank[at] ? i : at;
      }
      if (newRank >= rank[at]) {
        return;
      }
    } else {
      kept[count] = new float[sum.length];
      low[count++] = new float[lowest.length][lowest[0].length];
    }
    System.arraycopy(sum, 0, kept[at], 0, sum.length);
    for (int c = 0; c < lowest.length; c++) {
      System.arraycopy(lowest[c], 0, low[at][c], 0, lowest[c].length);
    }
    position[at] = newPosition;
    rank[at] = newRank;
    level[at] = power;
  }

  /** Gives the frame heard last to another one, unless it is digital silence. */
  void giveLast(ProfileLearner other) {
    if (blocks >= 2 && lastDbfs >= SILENCE_DBFS) {
      System.arraycopy(sum, 0, other.sum, 0, sum.length);
      for (int c = 0; c < lowest.length; c++) {
        System.arraycopy(lowest[c], 0, other.lowest[c], 0, lowest[c].length);
      }
      other.keep(lastRank, Decibels.toPower(lastDbfs), blocks);
    }
  }

  /** Forgets the frames kept; the take goes on. */
  void clear() {
    count = 0;
  }

  /** Takes over another one's frames of a rank up to {@code limit}, as long as there is room. */
  void absorb(ProfileLearner other, double limit) {
    for (int i = 0; i < other.count && count < KEPT; i++) {
      if (other.rank[i] <= limit) {
        System.arraycopy(other.kept[i], 0, sum, 0, sum.length);
        for (int c = 0; c < lowest.length; c++) {
          System.arraycopy(other.low[i][c], 0, lowest[c], 0, lowest[c].length);
        }
        keep(other.rank[i], other.level[i], other.position[i]);
      }
    }
  }

  /** The rank up to which frames are quiet and alike; not a number where they are too few. */
  double quietest() {
    int enough = (int) Math.ceil(ENOUGH_S * sampleRate / hop);
    if (count < enough) {
      return Double.NaN;
    }
    double[] sorted = Arrays.copyOf(rank, count);
    Arrays.sort(sorted);
    // The lowest few may be odd (a fade at the end of a file); the rest must be like them.
    double limit = sorted[Math.min(4, count - 1)] + ALIKE_DB;
    int alike = 0;
    while (alike < count && sorted[alike] <= limit) {
      alike++;
    }
    return alike >= enough ? limit : Double.NaN;
  }

  /** The frames of the take from the first to the last that has a rank up to {@code limit}. */
  long[] span(double limit) {
    long from = Long.MAX_VALUE;
    long to = 0;
    for (int i = 0; i < count; i++) {
      if (rank[i] <= limit) {
        from = Math.min(from, position[i]);
        to = Math.max(to, position[i]);
      }
    }
    return new long[] {Math.max(0, from - 2) * hop, to * hop};
  }

  /** Levels of the frames up to a rank in bands of a third of an octave, in dB; null for none. */
  double[] bands(double limit) {
    double[] bands = new double[BANDS];
    int[] bins = new int[BANDS];
    int n = 0;
    for (int i = 0; i < count; i++) {
      if (rank[i] > limit) {
        continue;
      }
      n++;
      for (int k = 1; k < sum.length; k++) {
        int band = bandOf[k];
        if (band >= 0) {
          bands[band] += kept[i][k];
          bins[band]++;
        }
      }
    }
    for (int b = 0; b < BANDS; b++) {
      bands[b] = 10 * Math.log10((bands[b] + 1e-20) / Math.max(1, bins[b]));
    }
    return n == 0 ? null : bands;
  }

  /** The band of each bin; -1 below the lowest. */
  private int[] bandsOfBins() {
    int[] band = new int[sum.length];
    band[0] = -1;
    for (int k = 1; k < band.length; k++) {
      double octave = Math.log((double) k * sampleRate / size / LOWEST_BAND_HZ) / Math.log(2);
      band[k] = octave < 0 ? -1 : Math.min(BANDS - 1, (int) (3 * octave));
    }
    return band;
  }

  /** How much the mean of frames up to a rank differs from bin to bin, in dB. */
  double roughness(double limit) {
    double[] mean = new double[sum.length];
    for (int i = 0; i < count; i++) {
      for (int k = 0; rank[i] <= limit && k < mean.length; k++) {
        mean[k] += kept[i][k];
      }
    }
    double total = 0;
    int from = (int) (LOWEST_BAND_HZ * size / sampleRate);
    int to = mean.length / 3;
    for (int k = from; k < to; k++) {
      total += Math.abs(Math.log10((mean[k] + 1e-20) / (mean[k + 3] + 1e-20)));
    }
    return 10 * total / (to - from);
  }

  /** A profile of all that was added, or null where that is nothing. */
  NoiseProfile ofAll() {
    return count == 0 ? null : average(Double.POSITIVE_INFINITY);
  }

  /** A profile of the quietest that was added. */
  NoiseProfile ofQuietest() {
    double limit = quietest();
    if (!Double.isNaN(limit)) {
      int alike = 0;
      double power = 0;
      for (int i = 0; i < count; i++) {
        if (rank[i] <= limit) {
          alike++;
          power += level[i];
        }
      }
      if (power / alike * Decibels.toPower(CONTRAST_DB) < loudest) {
        return average(limit);
      }
    }
    return new NoiseProfile(
        sampleRate, false, new float[sum.length], Double.NEGATIVE_INFINITY, null, false);
  }

  private NoiseProfile average(double limit) {
    float[] power = new float[sum.length];
    float[] values = new float[count];
    for (int k = 0; k < power.length; k++) {
      int n = 0;
      for (int i = 0; i < count; i++) {
        if (rank[i] <= limit) {
          values[n++] = kept[i][k];
        }
      }
      double cut = OUTLIER * Selection.median(values, n);
      double total = 0;
      for (int i = 0; i < n; i++) {
        total += Math.min(values[i], cut);
      }
      boolean real = k == 0 || k == power.length - 1;
      power[k] = (float) (total / n / (real ? CUT_SHARE_REAL : CUT_SHARE));
    }
    double levelDbfs = Decibels.fromPower(meanSquare(power));
    Hum hum = findHum(limit);
    if (hum != null && hum.levelDbfs() > levelDbfs + 1) {
      // Louder than all of the room together: a note that rings on at a multiple.
      hum = null;
    }
    if (hum != null) {
      takeOut(hum, power);
    }
    boolean rumble = rumbles(power);
    if (rumble) {
      for (int k = 0; k < power.length; k++) {
        double left = RumbleFilter.response((double) k * sampleRate / size);
        power[k] *= (float) Math.max(left * left, RUMBLE_LEFT);
      }
    }
    return new NoiseProfile(sampleRate, true, power, levelDbfs, hum, rumble);
  }

  /** Whether there is much more below the lowest notes than above, even for a room. */
  private boolean rumbles(float[] power) {
    double below = mean(power, 0, RUMBLE_HZ);
    double above = mean(power, LOWEST_HZ, LOW_HZ);
    return below > above * Decibels.toPower(RUMBLE_DB)
        && Decibels.fromPower(below / (size * windowPower)) > RUMBLE_DBFS;
  }

  private double mean(float[] power, double fromHz, double toHz) {
    int from = (int) Math.ceil(fromHz * size / sampleRate);
    int to = Math.max(from, (int) (toHz * size / sampleRate));
    double sum = 0;
    for (int k = from; k <= to; k++) {
      sum += power[k];
    }
    return sum / (to - from + 1);
  }

  private Hum findHum(double limit) {
    int n = 0;
    long[] positions = new long[count];
    float[][][] frames = new float[count][][];
    for (int i = 0; i < count; i++) {
      if (rank[i] <= limit && position[i] != NOWHERE) {
        positions[n] = position[i];
        frames[n++] = low[i];
      }
    }
    return new HumFinder(sampleRate, size, Arrays.copyOf(positions, n), Arrays.copyOf(frames, n))
        .find();
  }

  /** The lines of the hum fall to what {@link HumRemover} may leave of them over the noise. */
  private void takeOut(Hum hum, float[] power) {
    takeOut(hum, power, size, sampleRate);
  }

  static void takeOut(Hum hum, float[] power, int size, int sampleRate) {
    for (int i = 0; i < hum.harmonics().length; i++) {
      double bin = hum.hz(i) * size / sampleRate;
      int middle = (int) Math.round(bin);
      int low = Math.max(1, middle - 3);
      int high = Math.min(middle + 3, power.length - 1);
      float beside = (power[low] + power[high]) / 2;
      for (int k = low + 1; k < high; k++) {
        power[k] = Math.min(power[k], beside + HUM_LEFT * Math.max(0, power[k] - beside));
      }
    }
  }
}
