package takewright.segment.live;

/** The last seconds of a take, its channels mixed. */
public final class LastSeconds {
  /** Frame n at n modulo its length. */
  private final float[] samples;

  private long frames;

  public LastSeconds(double seconds, int sampleRate) {
    samples = new float[(int) (seconds * sampleRate)];
  }

  /**
   * Takes frames in.
   *
   * @param channels one array a channel, full scale at ±1
   */
  public void add(float[][] channels, int count) {
    for (int i = 0; i < count; i++) {
      float sum = 0;
      for (float[] channel : channels) {
        sum += channel[i];
      }
      samples[(int) ((frames + i) % samples.length)] = sum / channels.length;
    }
    frames += count;
  }

  /** The samples from one frame up to another, of those that are kept; silence before the take. */
  public float[] copy(long from, long to) {
    float[] copy = new float[(int) Math.max(0, to - from)];
    copy(from, copy);
    return copy;
  }

  /** Fills an array with the samples from a frame on. */
  void copy(long from, float[] into) {
    for (int i = 0; i < into.length; i++) {
      long frame = from + i;
      into[i] = frame < 0 ? 0 : samples[(int) (frame % samples.length)];
    }
  }
}
