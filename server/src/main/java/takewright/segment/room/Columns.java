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

  /** The latest column, where it is measured here. */
  private final MeasuredColumn own;

  private MeasuredColumn latest;
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
    mixed = new float[bands.window()];
    window = new float[bands.window()];
    own = new MeasuredColumn(bands);
    latest = own;
  }

  /**
   * Takes frames in, of which the mean of all channels is listened to.
   *
   * @param count no more than {@link #framesToNext}
   */
  public void append(float[][] channels, int from, int count) {
    TakeBlock.mix(channels, from, mixed, 0, count);
    audio.append(mixed, 0, count);
  }

  /** Frames that are needed until the next column can be measured. */
  public long framesToNext() {
    return end() * hop() + bands.window() / 2 - audio.end();
  }

  /**
   * The same, and measures the column that they complete. Answers whether they do.
   *
   * @param measured the block that they are from, if its columns are measured; else null
   */
  public boolean append(float[][] channels, int from, int count, TakeBlock measured) {
    if (measured == null) {
      append(channels, from, count);
    } else {
      audio.append(measured.mixed(), hop() + from, count);
    }
    boolean isColumn = framesToNext() == 0;
    if (isColumn && measured == null) {
      measure();
    } else if (isColumn) {
      add(measured.column((from + count) / hop() - 1));
    }
    return isColumn;
  }

  /** Measures the next column; frames that do not exist yet read as 0. */
  public void measure() {
    audio.copy(end() * hop() - window.length / 2, window, window.length);
    own.measure(window, bands);
    add(own);
  }

  private void add(MeasuredColumn column) {
    long centre = end() * hop();
    int middle = bands.window() / 2;
    // The first half of a window is the second of the one before.
    zerosBefore = centre == 0 ? middle : zeros;
    zeros = column.zeros();
    latest = column;
    for (int b = 0; b < bandPower.length; b++) {
      bandPower[b].append(column.bands()[b]);
    }
    spectra.append(column.spectrum(), 0, bands.spectrumBins());
    peaks.append(column.peak());
    powers.append(column.power());
    // Columns that reach beyond either end of the take would make the room too quiet.
    isWhole = centre >= middle && centre + middle <= audio.end();
  }

  /**
   * Whether the column measured last is audio all through: within the take, and not silent, of
   * which a fifth of the samples or more are exactly 0, as in no recording of a room.
   */
  public boolean isLive() {
    return isWhole && 5 * (zerosBefore + zeros) < bands.window();
  }

  /** Band powers of the column measured last, as mean squares; not a copy. */
  public float[] latest() {
    return latest.bands();
  }

  /**
   * How far the strongest partials of the column measured last stand out, see {@link BandSpectrum}.
   */
  public double prominence() {
    return latest.prominence();
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
