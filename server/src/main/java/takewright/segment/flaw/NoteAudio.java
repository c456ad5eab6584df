package takewright.segment.flaw;

import java.util.Arrays;
import takewright.segment.room.Columns;

/**
 * The audio of the open note below 4 kHz, at some 8,000 samples a second, taken in column by
 * column.
 */
public final class NoteAudio {
  /** Samples a second, about. */
  public static final int RATE = 8000;

  /**
   * Length of the low-pass filter before every second mean is taken, in means: those of as many
   * frames as make twice the rate that is kept, which costs a third of a filter over all frames.
   */
  private static final int FILTER = 12;

  /** Its cut-off, as a share of half the lower rate. */
  private static final double CUTOFF = 0.9;

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
  private float[] samples = new float[4 * RATE];
  private int count;

  /** Frame of the first sample, and of the next. */
  private long firstFrame;

  private long nextFrame;

  public NoteAudio(Columns columns) {
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
  public void reset() {
    count = 0;
  }

  /** Takes the samples of the next column in; a note has a bounded number of them. */
  public void add(long column) {
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
    if (count + n > samples.length) {
      samples = Arrays.copyOf(samples, 2 * samples.length);
    }
    System.arraycopy(filtered, 0, samples, count, n);
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

  /** The samples, of which {@link #count()} are in use. */
  public float[] samples() {
    return samples;
  }

  public int count() {
    return count;
  }

  /** Samples a second. */
  public double rate() {
    return (double) columns.sampleRate() / every;
  }

  /** Index of the sample at a column's middle. */
  public int sample(long column) {
    return (int) Math.max(0, Math.min(count, (column * columns.hop() - firstFrame) / every));
  }

  /** The frame of a sample in the take. */
  public long frame(int sample) {
    return firstFrame + (long) sample * every;
  }
}
