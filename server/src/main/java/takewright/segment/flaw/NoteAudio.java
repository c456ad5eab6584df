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
  private final float[] means;
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
    means = new float[2 * (columns.hop() / every + 1) + FILTER];
    input = new float[means.length * mean];
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
    for (int m = 0; m < means.length; m++) {
      float sum = 0;
      for (int i = m * mean; i < (m + 1) * mean; i++) {
        sum += input[i];
      }
      means[m] = sum / mean;
    }
    long end = from + hop;
    for (int m = 0; nextFrame < end; m += 2) {
      float sum = 0;
      for (int k = 0; k < FILTER / 2; k++) {
        sum += filter[k] * (means[m + k] + means[m + FILTER - 1 - k]);
      }
      if (count == samples.length) {
        samples = Arrays.copyOf(samples, 2 * count);
      }
      samples[count++] = sum;
      nextFrame += every;
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
