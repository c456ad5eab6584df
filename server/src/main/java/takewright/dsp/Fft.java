package takewright.dsp;

import org.jtransforms.fft.FloatFFT_1D;
import pl.edu.icm.jlargearrays.ConcurrencyUtils;

/**
 * The discrete Fourier transform of real signals, in place and without allocation.
 *
 * <p>A spectrum of {@code size} samples is packed into {@code size} floats: element 0 is the real
 * part of bin 0, element 1 the real part of bin size/2 (both have no imaginary part), and elements
 * 2k and 2k+1 are the real and imaginary part of bin k, 0 &lt; k &lt; size/2.
 *
 * <p>Sizes of {@link #MIN_OWN_SIZE} to {@link #MAX_OWN_SIZE} go by {@link RealFft}, which HotSpot
 * makes vector code of; all others by JTransforms. Measured on Java 17 and one core, microseconds
 * there and back, JTransforms and ours: 1024 samples 6.2 and 5.3; 2048, 13.6 and 10.0; 4096, 29.0
 * and 20.4; 8192, 61.9 and 41.1; 16384, 129 and 82.9.
 *
 * <p>An instance belongs to the thread that asked for it.
 */
public final class Fft {
  static {
    // By default the library splits larger transforms over threads of its own; at the sizes used
    // here the waiting costs more than it gains, and the cores have other takes to process.
    ConcurrencyUtils.setNumberOfThreads(1);
  }

  /** Minimum and maximum size of our own transform. */
  static final int MIN_OWN_SIZE = 1024;

  static final int MAX_OWN_SIZE = 2 * SplitFft.MAX_POINTS;

  /**
   * By the binary logarithm of the size: looked up with every transform, so without a map. No int
   * has a 31st.
   */
  private static final ThreadLocal<Fft[]> PLANS = ThreadLocal.withInitial(() -> new Fft[31]);

  private final int size;

  /** One of the two is set. */
  private final RealFft ours;

  private final FloatFFT_1D library;

  /** Made when it is first asked for; null as long, and where the size is not ours. */
  private RealFft.TwoSignals twoSignals;

  private Fft(int size) {
    this.size = size;
    boolean isOurs = size >= MIN_OWN_SIZE && size <= MAX_OWN_SIZE;
    ours = isOurs ? new RealFft(size) : null;
    library = isOurs ? null : new FloatFFT_1D(size);
  }

  /**
   * The transform of a size, cached per thread.
   *
   * @param size number of samples, a power of two, 2 or more
   */
  public static Fft of(int size) {
    if (size < 2 || Integer.bitCount(size) != 1) {
      throw new IllegalArgumentException("size must be a power of two, 2 or more, not " + size);
    }
    Fft[] plans = PLANS.get();
    int log = Integer.numberOfTrailingZeros(size);
    if (plans[log] == null) {
      plans[log] = new Fft(size);
    }
    return plans[log];
  }

  /** Number of samples of a transform. */
  public int size() {
    return size;
  }

  /** Number of bins of a spectrum: size/2 + 1. */
  public int bins() {
    return size / 2 + 1;
  }

  /** From the first {@code size} samples to their packed spectrum, not scaled. */
  public void forward(float[] inPlace) {
    if (ours != null) {
      ours.forward(inPlace);
    } else {
      library.realForward(inPlace);
    }
  }

  /**
   * The squared magnitude of every bin of samples' transform: as {@link #forward} and {@link
   * #power}, and less work.
   *
   * @param samples whatever is in the array afterwards
   * @param out receives size/2 + 1 values
   */
  public void powerOf(float[] samples, float[] out) {
    if (ours != null) {
      ours.power(samples, out);
    } else {
      library.realForward(samples);
      power(samples, out);
    }
  }

  /**
   * The transform of two signals' cross-correlation: of the sum over i of {@code a[i] * b[i +
   * lag]}, lags going round. As {@link #forward} of both and {@link #multiplyConjugate}, and less
   * work.
   *
   * @param a becomes the packed spectrum of the cross-correlation
   * @param b becomes its own packed spectrum
   */
  public void crossSpectrum(float[] a, float[] b) {
    if (ours != null && size <= SplitFft.MAX_POINTS) {
      if (twoSignals == null) {
        twoSignals = new RealFft.TwoSignals(size);
      }
      twoSignals.crossSpectrum(a, b);
    } else {
      forward(a);
      forward(b);
      multiplyConjugate(a, b, a);
    }
  }

  /** From a packed spectrum back to samples, scaled so that it undoes {@link #forward}. */
  public void inverse(float[] inPlace) {
    if (ours != null) {
      ours.inverse(inPlace);
    } else {
      library.realInverse(inPlace, true);
    }
  }

  /** Multiplies packed spectra bin by bin, which convolves: {@code b} becomes a times b. */
  public static void multiply(float[] a, float[] b) {
    b[0] *= a[0];
    b[1] *= a[1];
    for (int i = 2; i < a.length; i += 2) {
      float re = a[i] * b[i] - a[i + 1] * b[i + 1];
      float im = a[i] * b[i + 1] + a[i + 1] * b[i];
      b[i] = re;
      b[i + 1] = im;
    }
  }

  /** The same with the conjugate of a, which gives the cross-correlation. */
  public static void multiplyConjugate(float[] a, float[] b) {
    multiplyConjugate(a, b, b);
  }

  private static void multiplyConjugate(float[] a, float[] b, float[] to) {
    to[0] = a[0] * b[0];
    to[1] = a[1] * b[1];
    for (int i = 2; i < a.length; i += 2) {
      float re = a[i] * b[i] + a[i + 1] * b[i + 1];
      float im = a[i] * b[i + 1] - a[i + 1] * b[i];
      to[i] = re;
      to[i + 1] = im;
    }
  }

  /**
   * The squared magnitude of every bin.
   *
   * @param packed a spectrum as {@link #forward} leaves it
   * @param out receives size/2 + 1 values
   */
  public void power(float[] packed, float[] out) {
    int half = size / 2;
    out[0] = packed[0] * packed[0];
    out[half] = packed[1] * packed[1];
    for (int k = 1; k < half; k++) {
      float re = packed[2 * k];
      float im = packed[2 * k + 1];
      out[k] = re * re + im * im;
    }
  }
}
