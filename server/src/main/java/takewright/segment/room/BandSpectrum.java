package takewright.segment.room;

import takewright.dsp.Fft;
import takewright.dsp.Windows;

/**
 * Power of a signal in bands of about a third of an octave (no narrower than 94 Hz), one column a
 * hop. A weak note shows in the band of its strongest partial long before it shows in the whole.
 */
public final class BandSpectrum {
  /** Lowest edge, in hertz: below lies rumble, and hardly a note. */
  private static final double LOWEST_HZ = 35;

  /** Highest edge, in hertz: above lies hardly anything but hiss. */
  private static final double HIGHEST_HZ = 16_000;

  /** A band is this much wide, upper edge to lower: a third of an octave. */
  private static final double WIDTH = Math.pow(2, 1.0 / 3);

  /** Bins a band has at least: with fewer its noise jumps about so much that it hides notes. */
  private static final int LEAST_BINS = 4;

  /** Partials are looked for between these frequencies, in hertz. */
  private static final double LOWEST_PARTIAL_HZ = 120;

  public static final double HIGHEST_PARTIAL_HZ = 9000;

  /** So many of the strongest partials count; one may be an accident. */
  private static final int PARTIALS = 4;

  /** A product this much below another is so whatever rounding does to both. */
  private static final double CERTAINLY_WEAKER = 0.999;

  /** Neighbours on either side that a partial is compared with. */
  private static final int NEIGHBOURS = 10;

  /** Of them, those nearest to it that its own main lobe reaches. */
  private static final int LOBE = 2;

  private final int window;
  private final float[] shape;
  private final float[] work;
  private final float[] power;
  private final int[] edges;
  private final double scale;
  private final double bin;
  private final int lowestPartial;
  private final int highestPartial;
  private final float[] strongest = new float[PARTIALS];

  public BandSpectrum(int sampleRate) {
    // 43 ms at 44.1 and 48 kHz, and about as long at other rates.
    int nearest = Integer.highestOneBit((int) (sampleRate * 0.06));
    window = Math.max(256, nearest);
    shape = Windows.hann(window);
    work = new float[window];
    power = new float[window / 2 + 1];
    bin = (double) sampleRate / window;
    edges = edges(sampleRate);
    // A sine of amplitude 1 then has power 1/2 over its main lobe, as its mean square is.
    double energy = 0;
    for (float w : shape) {
      energy += (double) w * w;
    }
    scale = 2 / (energy * window);
    lowestPartial = Math.max(NEIGHBOURS + 1, (int) (LOWEST_PARTIAL_HZ / bin));
    highestPartial = (int) Math.min(HIGHEST_PARTIAL_HZ / bin, window / 2 - NEIGHBOURS - 1);
  }

  private int[] edges(int sampleRate) {
    int[] list = new int[64];
    int n = 0;
    int at = Math.max(1, (int) Math.round(LOWEST_HZ / bin));
    // The top twentieth below half the rate belongs to the converter's filter.
    int last = (int) (Math.min(HIGHEST_HZ, 0.475 * sampleRate) / bin);
    while (at < last) {
      list[n++] = at;
      at = Math.max(at + LEAST_BINS, (int) Math.round(at * WIDTH));
    }
    list[n++] = last;
    return java.util.Arrays.copyOf(list, n);
  }

  /** Frames of a window. */
  public int window() {
    return window;
  }

  /** Frames from one column to the next. */
  public int hop() {
    return window / 2;
  }

  /** Number of bands. */
  public int count() {
    return edges.length - 1;
  }

  /** Lower edge of a band, in hertz. */
  public double lowest(int band) {
    return edges[band] * bin;
  }

  /** Bins of a band. */
  public int bins(int band) {
    return edges[band + 1] - edges[band];
  }

  /**
   * Mean power of each band's bins, as mean square for full scale 1.
   *
   * @param audio {@link #window} samples from index 0
   */
  void measure(float[] audio, float[] into) {
    for (int i = 0; i < window; i++) {
      work[i] = audio[i] * shape[i];
    }
    Fft.of(window).powerOf(work, power);
    for (int b = 0; b < into.length; b++) {
      double sum = 0;
      for (int k = edges[b]; k < edges[b + 1]; k++) {
        sum += power[k];
      }
      into[b] = (float) (sum * scale / (edges[b + 1] - edges[b]));
    }
  }

  /** Hertz from one bin to the next. */
  public double binHz() {
    return bin;
  }

  /** The band that a bin lies in, or the one nearest to it. */
  public int bandOf(int k) {
    int band = 0;
    while (band + 1 < count() && edges[band + 1] <= k) {
      band++;
    }
    return band;
  }

  /** How many bins of {@link #spectrum} lie below where partials are looked for. */
  public int spectrumBins() {
    return Math.min(window / 2, (int) (HIGHEST_PARTIAL_HZ / bin) + 1);
  }

  /**
   * Power of each bin of the window measured last, as a mean square over {@link #scale}; not a
   * copy.
   */
  float[] spectrum() {
    return power;
  }

  /** Mean square for full scale 1 of a power of 1 in {@link #spectrum}. */
  public double scale() {
    return scale;
  }

  /**
   * How far the strongest partials of the window measured last stand out from the bins around them,
   * in dB (cell-averaging constant false alarm rate detection, Finn and Johnson, RCA Review 29,
   * 1968). A level that moves does not change it, as it moves the bins around too.
   */
  double prominence() {
    java.util.Arrays.fill(strongest, 0);
    double wide = 0;
    double lobe = 0;
    for (int k = lowestPartial - NEIGHBOURS; k <= lowestPartial + NEIGHBOURS; k++) {
      wide += power[k];
      lobe += Math.abs(k - lowestPartial) <= LOBE ? power[k] : 0;
    }
    int cells = 2 * (NEIGHBOURS - LOBE);
    for (int k = lowestPartial; k < highestPartial; k++) {
      double around = Math.max(0, wide - lobe) + 1e-20;
      // Most bins are far too weak, and a division takes longer than all the rest.
      if (power[k] * cells > CERTAINLY_WEAKER * strongest[0] * around) {
        float ratio = (float) (power[k] * cells / around);
        if (ratio > strongest[0]) {
          int at = 0;
          while (at + 1 < PARTIALS && ratio > strongest[at + 1]) {
            strongest[at] = strongest[++at];
          }
          strongest[at] = ratio;
        }
      }
      wide += power[k + NEIGHBOURS + 1] - power[k - NEIGHBOURS];
      lobe += power[k + LOBE + 1] - power[k - LOBE];
    }
    double product = 0;
    for (float ratio : strongest) {
      product += Math.log10(ratio + 1e-9);
    }
    return 10 * product / PARTIALS;
  }
}
