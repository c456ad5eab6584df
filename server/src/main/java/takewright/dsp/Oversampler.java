package takewright.dsp;

/**
 * Raises the rate of whole pieces of audio by a power of two and brings it back, by half-band
 * filters with linear phase: each stage doubles the rate, and the higher ones are short, since less
 * and less must be kept apart (P. P. Vaidyanathan, "Multirate systems and filter banks", 1993,
 * section 4.6). No delay: sample 0 stays sample 0.
 *
 * <p>The band up to 5/12 of the rate (20 kHz at 48 kHz) is kept within 0.001 dB, and what would
 * fold into it is 110 dB down.
 */
public final class Oversampler {
  /** Upper edge of the band that is kept, as a share of the sample rate. */
  private static final double BAND = 5.0 / 12;

  /** Of the stop bands, in dB. */
  private static final double ATTENUATION = 118;

  /** Samples filtered at a time. */
  private static final int BLOCK = 2048;

  private final Fir[] stages;

  /** Taps of each stage, half of them on either side. */
  private final int[] taps;

  /**
   * For a factor.
   *
   * @param doublings how many times the rate is doubled, 1 to 5
   */
  public Oversampler(int doublings) {
    if (doublings < 1 || doublings > 5) {
      throw new IllegalArgumentException("doublings must be 1 to 5, not " + doublings);
    }
    stages = new Fir[doublings];
    taps = new int[doublings];
    for (int s = 0; s < doublings; s++) {
      // Of the lower rate of the stage; the image begins as far from it as the band ends from 0.
      double band = BAND / (1 << s);
      double half = KaiserSinc.halfWidth(1 - 2 * band, ATTENUATION);
      taps[s] = 4 * (int) Math.ceil((half + 1) / 2);
      KaiserSinc kernel = new KaiserSinc(0.5, taps[s] / 2.0, ATTENUATION);
      float[] h = new float[taps[s]];
      double sum = 0;
      for (int k = 0; k < h.length; k++) {
        sum += kernel.at(k - taps[s] / 2 + 0.5);
      }
      for (int k = 0; k < h.length; k++) {
        h[k] = (float) (kernel.at(k - taps[s] / 2 + 0.5) / sum);
      }
      stages[s] = new Fir(new float[][] {h}, BLOCK);
    }
  }

  /** The audio at the raised rate. */
  public float[] up(float[] samples) {
    float[] x = samples;
    for (int s = 0; s < stages.length; s++) {
      int half = taps[s] / 2;
      // Between samples i and i + 1 stands the sum over those around.
      float[] between = filtered(x, s, half - 1);
      float[] doubled = new float[Math.multiplyExact(2, x.length)];
      for (int i = 0; i < x.length; i++) {
        doubled[2 * i] = x[i];
        doubled[2 * i + 1] = between[i];
      }
      x = doubled;
    }
    return x;
  }

  /** Audio at the raised rate back at its own; its length is a multiple of the factor. */
  public float[] down(float[] raised) {
    float[] x = raised;
    for (int s = stages.length - 1; s >= 0; s--) {
      float[] odd = new float[x.length / 2];
      for (int i = 0; i < odd.length; i++) {
        odd[i] = x[2 * i + 1];
      }
      float[] around = filtered(odd, s, taps[s] / 2);
      float[] halved = new float[odd.length];
      for (int i = 0; i < halved.length; i++) {
        halved[i] = 0.5f * (x[2 * i] + around[i]);
      }
      x = halved;
    }
    return x;
  }

  /** The filter of a stage over the audio, with this many samples before each that it starts at. */
  private float[] filtered(float[] x, int stage, int before) {
    float[] padded = new float[x.length + taps[stage]];
    System.arraycopy(x, 0, padded, before, x.length);
    float[] out = new float[x.length];
    float[][] block = {new float[BLOCK]};
    for (int at = 0; at < x.length; at += BLOCK) {
      int n = Math.min(BLOCK, x.length - at);
      stages[stage].apply(padded, at, block, n);
      System.arraycopy(block[0], 0, out, at, n);
    }
    return out;
  }
}
