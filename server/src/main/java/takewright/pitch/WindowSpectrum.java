package takewright.pitch;

import java.util.Arrays;
import takewright.dsp.Decibels;
import takewright.dsp.Fft;
import takewright.dsp.Windows;

/**
 * The strongest partials of one window, and which pitch they allow.
 *
 * <p>A period alone misleads where partials are not harmonic. Bars have theirs at 1 : 2.76 : 5.40
 * where they are uniform and near 1 : 4 : 10 or 1 : 3 : 6 where they are cut to be tuned (Fletcher
 * and Rossing, The Physics of Musical Instruments, chapters 2 and 19). Such a window repeats best
 * after several periods of its lowest partial, by which all of them have nearly come round, and
 * nobody hears that period as a pitch: a missing fundamental is heard only where neighbouring
 * harmonics stand for it (Terhardt, "Pitch, consonance, and harmony", JASA 55(5), 1974). Otherwise
 * the ear names a partial: of bars the lowest strong one.
 */
final class WindowSpectrum {
  /** Partials that count lie at most this far below the strongest: 25 dB of power. */
  private static final double SIGNIFICANT = Decibels.toPower(-25);

  /** The lowest partial that names a bar lies at most this far below the strongest: 15 dB. */
  private static final double STRONG = Decibels.toPower(-15);

  /** On either side of a partial the spectrum falls by this much within four bins: 15 dB. */
  private static final double CONTRAST = Decibels.toPower(-15);

  /**
   * Bars are named by their partials from here on, in hertz. Those that are lower are cut so that
   * they repeat (marimbas), and strings that ring together would pass for them.
   */
  static final double LOWEST_BAR_HZ = 160;

  /** Highest partial that counts, in hertz; a share of the sample rate where that is low. */
  private static final double HIGHEST_HZ = 9000;

  private static final double HIGHEST_SHARE = 0.42;

  /** Partials of a bar that the ear takes apart; more are a harmonic tone or noise. */
  private static final int MAX_OF_A_BAR = 6;

  /** Share of the window's power that these hold. */
  private static final double MIN_TONAL = 0.7;

  /**
   * Neighbouring harmonics stand for their fundamental up to this one (Terhardt: about the 8th).
   */
  private static final int HIGHEST_NEIGHBOUR = 8;

  /** How far a partial may be from its multiple, as a share of it: a stiff string's, 40 cents. */
  private static final double REACH = 0.023;

  /** And in any case this many bins, which is what noise moves a partial by. */
  private static final double MIN_REACH_BINS = 0.6;

  /** Partials are not harmonic from this share off their multiple on: 26 cents, */
  private static final double MIN_OFF = 0.015;

  /** and from this many bins on, to which the place of a peak is known. */
  private static final double MIN_OFF_BINS = 0.2;

  /** Fundamentals nearer than this many bins are not taken apart from their harmonics. */
  private static final double RESOLVED_BINS = 4;

  private static final int MAX_PEAKS = 32;

  private final double binHz;
  private final int frames;
  private final float[] window;
  private final float[] work;
  private final float[] power;
  private final int low;
  private final int high;
  private final double[] hz = new double[MAX_PEAKS];
  private final double[] strength = new double[MAX_PEAKS];
  private int count;
  private double bar;
  private boolean isInharmonic;

  /** Whether all there is are steady partials with nothing between them, none of them low. */
  private boolean isHollow;

  /**
   * For windows of a detector.
   *
   * @param size of its transform, that of the window or more
   */
  WindowSpectrum(int sampleRate, int frames, int size) {
    this.frames = frames;
    binHz = (double) sampleRate / size;
    window = Windows.hann(frames);
    work = new float[size];
    power = new float[size / 2 + 1];
    low = 2;
    high =
        (int) Math.min(power.length - 6, Math.min(HIGHEST_HZ, HIGHEST_SHARE * sampleRate) / binHz);
  }

  /** Looks at a window of audio that is shorter than the transform, from its first frame on. */
  void look(float[] audio) {
    for (int i = 0; i < frames; i++) {
      work[i] = audio[i] * window[i];
    }
    Arrays.fill(work, frames, work.length, 0);
    Fft fft = Fft.of(work.length);
    fft.forward(work);
    fft.power(work, power);
    find();
  }

  /**
   * Looks at the transform of a window that is as long as it. A Hann window is three bins of the
   * spectrum: a half of each less a quarter of its neighbours.
   *
   * @param packed the transform as {@link Fft} packs it
   */
  void lookAtTransform(float[] packed) {
    float first = 0.5f * packed[2] - 0.25f * (packed[0] + packed[4]);
    float firstIm = 0.5f * packed[3] - 0.25f * packed[5];
    power[1] = first * first + firstIm * firstIm;
    for (int k = 2; k < power.length - 2; k++) {
      float re = 0.5f * packed[2 * k] - 0.25f * (packed[2 * k - 2] + packed[2 * k + 2]);
      float im = 0.5f * packed[2 * k + 1] - 0.25f * (packed[2 * k - 1] + packed[2 * k + 3]);
      power[k] = re * re + im * im;
    }
    find();
  }

  /** There is nothing in the window. */
  void clear() {
    count = 0;
    bar = 0;
    isInharmonic = false;
    isHollow = false;
  }

  /** Whether windows fill the transform. */
  boolean isFilled() {
    return frames == work.length;
  }

  private void find() {
    float greatest = 0;
    for (int k = low; k < high; k++) {
      greatest = Math.max(greatest, power[k]);
    }
    collect((float) (greatest * SIGNIFICANT));
    findBar();
  }

  /** The peaks that count, lowest first. */
  private void collect(float min) {
    count = 0;
    for (int k = low; k < high && count < MAX_PEAKS; k++) {
      float here = power[k];
      if (here < min || here == 0 || here <= power[k - 1] || here < power[k + 1]) {
        continue;
      }
      double a = Math.log(power[k - 1] + 1e-30);
      double b = Math.log(here);
      double c = Math.log(power[k + 1] + 1e-30);
      hz[count] = (k + 0.5 * (a - c) / (a - 2 * b + c)) * binHz;
      strength[count++] = here;
    }
  }

  /** Whether a peak is one steady partial: the spectrum falls away on both of its sides. */
  private boolean stands(int peak) {
    int k = (int) Math.round(hz[peak] / binHz);
    float limit = (float) (strength[peak] * CONTRAST);
    float below = Math.min(power[Math.max(0, k - 4)], power[Math.max(0, k - 3)]);
    float above = Math.min(power[k + 3], power[k + 4]);
    return below < limit && above < limit;
  }

  private void findBar() {
    bar = 0;
    isHollow = true;
    double total = 0;
    for (int k = (int) Math.max(low, LOWEST_BAR_HZ / binHz - 2); k < high; k++) {
      total += power[k];
    }
    double strongest = 0;
    for (int p = 0; p < count; p++) {
      strongest = hz[p] >= LOWEST_BAR_HZ ? Math.max(strongest, strength[p]) : strongest;
    }
    double held = 0;
    int partials = 0;
    for (int p = 0; p < count; p++) {
      boolean isLow = hz[p] < LOWEST_BAR_HZ;
      boolean isSteady = stands(p);
      isHollow &= !isLow && isSteady;
      if (isLow || !isSteady || strength[p] < STRONG * strongest) {
        continue;
      }
      partials++;
      int k = (int) Math.round(hz[p] / binHz);
      for (int j = k - 2; j <= k + 2; j++) {
        held += power[j];
      }
      bar = bar == 0 ? hz[p] : bar;
    }
    boolean isTonal = partials <= MAX_OF_A_BAR && held >= MIN_TONAL * total;
    bar = isTonal ? bar : 0;
    isInharmonic = false;
    for (int p = 0; p < count && bar > 0; p++) {
      double ratio = hz[p] / bar;
      double off = Math.abs(ratio - Math.round(ratio));
      double sure = Math.max(MIN_OFF * ratio, MIN_OFF_BINS * binHz / bar);
      isInharmonic |= ratio > 1.5 && off > sure && stands(p);
    }
    bar = isInharmonic ? bar : 0;
  }

  /**
   * The partial that names the window as a bar is named, in hertz; 0 where it does not consist of a
   * few steady partials, or where these are harmonic.
   */
  double bar() {
    return bar;
  }

  /** Whether a partial above that of the bar is none of its harmonics. */
  boolean isInharmonic() {
    return isInharmonic;
  }

  /**
   * Whether a pitch may be heard: its fundamental is there, or two neighbouring harmonics are. Only
   * where the window is that of a bar can that be told: in noise, or among many partials, those
   * that are missing may only be hidden.
   *
   * @param fundamental in hertz
   */
  boolean allows(double fundamental) {
    if (bar == 0) {
      return true;
    }
    if (fundamental < RESOLVED_BINS * binHz) {
      return !isHollow;
    }
    int before = -1;
    for (int p = 0; p < count; p++) {
      int h = (int) Math.round(hz[p] / fundamental);
      double reach = Math.max(MIN_REACH_BINS * binHz, REACH * hz[p]);
      if (h < 1 || h > HIGHEST_NEIGHBOUR || Math.abs(hz[p] - h * fundamental) > reach) {
        continue;
      }
      if (h == 1 || h == before + 1) {
        return true;
      }
      before = h;
    }
    return fundamental > high * binHz;
  }
}
