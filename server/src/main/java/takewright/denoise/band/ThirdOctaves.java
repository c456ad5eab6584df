package takewright.denoise.band;

/**
 * The bins of a spectrum in bands in which a room's level is followed: a third of an octave wide,
 * and at least {@link #WIDTH} bins at low frequencies.
 */
public final class ThirdOctaves {
  /**
   * Bands are whole parts of this many bins; fewer say too little about a level. It is 47 Hz at 48
   * kHz.
   */
  private static final int WIDTH = Parts.SIZE;

  private static final double RATIO = Math.pow(2, 1.0 / 3);

  /** First bin of each band, and one beyond the last. */
  private final int[] edges;

  /** Between the middles of two bands: the lower one, and the share of the upper one. */
  private final int[] lower;

  private final float[] upperShare;

  /** One beyond the last bin that has this band for its lower one. */
  private final int[] next;

  public ThirdOctaves(int bins) {
    int[] found = new int[128];
    int n = 0;
    for (int edge = 0; edge < bins; edge = Math.max(edge + WIDTH, whole(edge * RATIO))) {
      found[n++] = edge;
    }
    // A narrow rest belongs to the band below it.
    if (n > 1 && bins - found[n - 1] < WIDTH) {
      n--;
    }
    edges = java.util.Arrays.copyOf(found, n + 1);
    edges[n] = bins;
    lower = new int[bins];
    upperShare = new float[bins];
    int band = 0;
    for (int k = 0; k < bins; k++) {
      while (band + 2 < edges.length - 1 && k >= middle(band + 1)) {
        band++;
      }
      lower[k] = band;
      double span = count() == 1 ? 1 : middle(band + 1) - middle(band);
      double share = count() == 1 ? 0 : (k - middle(band)) / span;
      upperShare[k] = (float) Math.max(0, Math.min(1, share));
    }
    next = new int[count()];
    for (int k = 0; k < bins; k++) {
      next[lower[k]] = k + 1;
    }
  }

  /** The nearest number of bins that is whole parts. */
  private static int whole(double bins) {
    return WIDTH * (int) Math.round(bins / WIDTH);
  }

  public int count() {
    return edges.length - 1;
  }

  /** First bin of a band. */
  public int from(int band) {
    return edges[band];
  }

  /** One beyond the last bin of a band. */
  public int to(int band) {
    return edges[band + 1];
  }

  public int width(int band) {
    return edges[band + 1] - edges[band];
  }

  /** The band of a bin. */
  public int of(int bin) {
    int band = 0;
    while (bin >= edges[band + 1]) {
      band++;
    }
    return band;
  }

  private double middle(int band) {
    return (edges[band] + edges[band + 1] - 1) / 2.0;
  }

  /** From a value for each band to one for each bin, linear between the middles of the bands. */
  public void spread(float[] ofBands, float[] ofBins) {
    for (int k = 0; k < ofBins.length; ) {
      int band = lower[k];
      float a = ofBands[band];
      float rise = band + 1 < ofBands.length ? ofBands[band + 1] - a : 0;
      int to = next[band];
      for (; k < to; k++) {
        ofBins[k] = a + upperShare[k] * rise;
      }
    }
  }

  /** The mean of the bins of each band, from the sums over the parts of a spectrum. */
  public void means(Parts parts, float[] out) {
    for (int b = 0; b < out.length; b++) {
      out[b] = parts.sum(edges[b] / WIDTH, (edges[b + 1] + WIDTH - 1) / WIDTH) / width(b);
    }
  }

  /** The mean level of each band in dB: the mean of the bins' logarithms. */
  public void meanLogarithms(float[] power, float[] out) {
    for (int b = 0; b < out.length; b++) {
      long bits = 0;
      int to = edges[b + 1];
      for (int k = edges[b]; k < to; k++) {
        // The bits of a float, read as a whole number, grow with its logarithm, well enough here.
        bits += Float.floatToRawIntBits(power[k]);
      }
      out[b] = (float) (((double) bits / (to - edges[b]) / (1 << 23) - 127) * DB_AN_OCTAVE);
    }
  }

  private static final double DB_AN_OCTAVE = 10 * Math.log10(2);
}
