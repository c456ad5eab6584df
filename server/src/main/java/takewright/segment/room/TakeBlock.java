package takewright.segment.room;

/**
 * A block of a take with the columns that it completes, which any thread may measure: they need
 * nothing but the block and the hop before it.
 */
public final class TakeBlock {
  private final float[][] channels;
  private final BandSpectrum spectra;

  /** The mean of all channels, behind the hop that comes before the block. */
  private final float[] mixed;

  private final float[] window;
  private final MeasuredColumn[] columns;
  private int frames;

  /**
   * @param hops its length in hops of the columns
   */
  public TakeBlock(int sampleRate, int channels, int hops) {
    spectra = new BandSpectrum(sampleRate);
    this.channels = new float[channels][hops * spectra.hop()];
    mixed = new float[(1 + hops) * spectra.hop()];
    window = new float[spectra.window()];
    columns = new MeasuredColumn[hops];
    for (int k = 0; k < hops; k++) {
      columns[k] = new MeasuredColumn(spectra);
    }
  }

  /** Where the samples of each channel go before {@link #follow}. */
  public float[][] channels() {
    return channels;
  }

  /** Frames that it holds. */
  public int frames() {
    return frames;
  }

  /**
   * Takes the first frames of the channels for the block's.
   *
   * @param before the block before it, which must be whole; null where it is the take's first
   */
  public void follow(TakeBlock before, int frames) {
    this.frames = frames;
    int hop = spectra.hop();
    if (before == null) {
      java.util.Arrays.fill(mixed, 0, hop, 0);
    } else {
      System.arraycopy(before.mixed, before.mixed.length - hop, mixed, 0, hop);
    }
    mix(channels, 0, mixed, hop, frames);
  }

  /** Puts the mean of all channels into an array. */
  static void mix(float[][] channels, int from, float[] into, int at, int count) {
    System.arraycopy(channels[0], from, into, at, count);
    for (int c = 1; c < channels.length; c++) {
      for (int i = 0; i < count; i++) {
        into[at + i] += channels[c][from + i];
      }
    }
    float share = 1f / channels.length;
    for (int i = 0; i < count && channels.length > 1; i++) {
      into[at + i] *= share;
    }
  }

  /** Measures the columns whose windows end in the block. */
  public TakeBlock measure() {
    int hop = spectra.hop();
    for (int k = 0; (k + 1) * hop <= frames; k++) {
      System.arraycopy(mixed, k * hop, window, 0, 2 * hop);
      columns[k].measure(window, spectra);
    }
    return this;
  }

  MeasuredColumn column(int index) {
    return columns[index];
  }

  float[] mixed() {
    return mixed;
  }
}
