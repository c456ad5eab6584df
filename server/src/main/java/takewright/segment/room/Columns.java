package takewright.segment.room;

/**
 * The samples of a take and their power by band, column by column, as far back as they are kept.
 *
 * <p>Column k is centred on frame k · hop. Its band powers are those of a window around that frame;
 * its power and peak are those of the hop around it.
 */
public final class Columns {
  private final int sampleRate;
  private final BandSpectrum bands;
  private final FloatHistory audio;
  private final FloatHistory[] bandPower;
  private final FloatHistory spectra;
  private final FloatHistory peaks;
  private final FloatHistory powers;
  private final float[] mixed;
  private final float[] window;
  private final float[] latest;
  private boolean isWhole;

  /** Samples of the latest window that are exactly 0, in its first half and in its second. */
  private int zerosBefore;

  private int zeros;

  /**
   * @param sampleRate frames per second
   * @param audioS seconds of samples that are kept
   * @param columnsS seconds of columns that are kept
   */
  public Columns(int sampleRate, double audioS, double columnsS) {
    this.sampleRate = sampleRate;
    bands = new BandSpectrum(sampleRate);
    audio = new FloatHistory((int) (audioS * sampleRate));
    int kept = (int) (columnsS * sampleRate / bands.hop());
    bandPower = new FloatHistory[bands.count()];
    for (int b = 0; b < bandPower.length; b++) {
      bandPower[b] = new FloatHistory(kept);
    }
    spectra = new FloatHistory(kept * bands.spectrumBins());
    peaks = new FloatHistory(kept);
    powers = new FloatHistory(kept);
    window = new float[bands.window()];
    mixed = new float[bands.window()];
    latest = new float[bands.count()];
  }

  /**
   * Takes frames in, of which the mean of all channels is listened to.
   *
   * @param count no more than {@link #framesToNext}
   */
  public void append(float[][] channels, int from, int count) {
    System.arraycopy(channels[0], from, mixed, 0, count);
    for (int c = 1; c < channels.length; c++) {
      for (int i = 0; i < count; i++) {
        mixed[i] += channels[c][from + i];
      }
    }
    float share = 1f / channels.length;
    for (int i = 0; i < count && channels.length > 1; i++) {
      mixed[i] *= share;
    }
    audio.append(mixed, 0, count);
  }

  /** Frames that are needed until the next column can be measured. */
  public long framesToNext() {
    return end() * hop() + bands.window() / 2 - audio.end();
  }

  /** Measures the next column; frames that do not exist yet read as 0. */
  public void measure() {
    long centre = end() * hop();
    audio.copy(centre - window.length / 2, window, window.length);
    // The first half of a window is the second of the one before.
    zerosBefore = centre == 0 ? window.length / 2 : zeros;
    zeros = zeros(window, window.length / 2);
    bands.measure(window, latest);
    for (int b = 0; b < bandPower.length; b++) {
      bandPower[b].append(latest[b]);
    }
    spectra.append(bands.spectrum(), 0, bands.spectrumBins());
    int middle = window.length / 2;
    float peak = 0;
    double power = 0;
    for (int i = middle - hop() / 2; i < middle + hop() / 2; i++) {
      peak = Math.max(peak, Math.abs(window[i]));
      power += (double) window[i] * window[i];
    }
    peaks.append(peak);
    powers.append((float) (power / hop()));
    // Columns that reach beyond either end of the take would make the room too quiet.
    isWhole = centre >= middle && centre + middle <= audio.end();
  }

  /**
   * Whether the column measured last is audio all through: within the take, and not silent, of
   * which a fifth of the samples or more are exactly 0, as in no recording of a room.
   */
  public boolean isLive() {
    return isWhole && 5 * (zerosBefore + zeros) < window.length;
  }

  private static int zeros(float[] samples, int from) {
    int zeros = 0;
    for (int i = from; i < samples.length; i++) {
      zeros += samples[i] == 0 ? 1 : 0;
    }
    return zeros;
  }

  /** Band powers of the column measured last, as mean squares; not a copy. */
  public float[] latest() {
    return latest;
  }

  /**
   * How far the strongest partials of the column measured last stand out, see {@link BandSpectrum}.
   */
  public double prominence() {
    return bands.prominence();
  }

  /** The first column that is still kept. */
  public long first() {
    return powers.first();
  }

  /** Number of columns so far. */
  public long end() {
    return powers.end();
  }

  /** Mean power of a band over some columns, the last included, as far as they are there. */
  public double mean(int band, long first, long last) {
    long from = Math.max(0, first);
    long to = Math.min(end() - 1, last);
    double sum = 0;
    for (long k = from; k <= to; k++) {
      sum += bandPower[band].get(k);
    }
    return sum / Math.max(1, to - from + 1);
  }

  /** Power of the bins of a column, {@link BandSpectrum#spectrumBins} of them, as mean squares. */
  public void spectrum(long column, float[] into) {
    int bins = bands.spectrumBins();
    spectra.copy(column * bins, into, bins);
  }

  public float band(int band, long column) {
    return bandPower[band].get(column);
  }

  /** Mean square of a column's samples. */
  public float power(long column) {
    return powers.get(column);
  }

  /** Power of the weakest of some columns, the last included. */
  public double min(long first, long last) {
    double min = Double.POSITIVE_INFINITY;
    for (long k = Math.max(0, first); k <= last; k++) {
      min = Math.min(min, powers.get(k));
    }
    return min;
  }

  /** Power of the strongest of some columns, as a mean square. */
  public double max(long first, long last) {
    double max = 0;
    for (long k = Math.max(0, first); k <= last; k++) {
      max = Math.max(max, powers.get(k));
    }
    return max;
  }

  /** Largest absolute sample of a column. */
  public float peak(long column) {
    return peaks.get(column);
  }

  public FloatHistory audio() {
    return audio;
  }

  public BandSpectrum bands() {
    return bands;
  }

  public int bandCount() {
    return bandPower.length;
  }

  public int hop() {
    return bands.hop();
  }

  public int sampleRate() {
    return sampleRate;
  }

  /** Frames so far. */
  public long frames() {
    return audio.end();
  }

  /** Columns in a length of time. */
  public long columnsOf(double seconds) {
    return Math.round(seconds * sampleRate / hop());
  }
}
