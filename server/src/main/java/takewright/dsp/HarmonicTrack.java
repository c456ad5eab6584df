package takewright.dsp;

/**
 * How the frequency of a harmonic sound moves around one that is known: the advance of phase of its
 * strongest harmonics from one Hann window to the next, as in a phase vocoder (Flanagan and Golden,
 * "Phase vocoder", 1966). Each harmonic counts by its power times the square of its number, by
 * which the error of its frequency goes.
 */
public final class HarmonicTrack {
  /** Harmonics looked at; higher ones are weak or noisy. */
  private static final int HARMONICS = 6;

  /** And up to this many hertz: above, a wide vibrato would leave the window's main lobe. */
  private static final double HIGHEST_HZ = 3000;

  /** Time between windows in seconds: a phase is known without doubt within +-100 Hz. */
  private static final double HOP_S = 0.005;

  /** Length of a window in seconds, and in periods where that is longer: parts the harmonics. */
  private static final double WINDOW_S = 0.03;

  private static final double WINDOW_PERIODS = 4;

  /**
   * Samples a cycle of the highest harmonic that are enough: with half of them it would fold, and
   * nearer to that the low-pass costs more than it saves.
   */
  private static final double SAMPLES_A_CYCLE = 4;

  /** With this factor a fifteenth of the time between windows lies between two samples. */
  private static final int MAX_FACTOR = 16;

  /** A semitone, a wide vibrato and the window's main lobe lie within this of a harmonic. */
  private static final double MARGIN = 1.1;

  private final int hop;

  /** The same in samples that are left. */
  private final int lowHop;

  private final double[] deviation;
  private final double[] power;

  /**
   * Follows a sound.
   *
   * @param audio samples
   * @param from first sample followed
   * @param to first sample after those followed
   * @param sampleRate in hertz
   * @param hz its frequency, within a semitone
   */
  public HarmonicTrack(float[] audio, int from, int to, int sampleRate, double hz) {
    int harmonics = (int) Math.max(1, Math.min(HARMONICS, HIGHEST_HZ / hz));
    while (harmonics > 0 && harmonics * hz >= 0.45 * sampleRate) {
      harmonics--;
    }
    double highest = Math.max(1, harmonics) * hz / sampleRate;
    int factor = (int) Math.max(1, Math.min(MAX_FACTOR, 1 / (SAMPLES_A_CYCLE * highest)));
    lowHop = (int) Math.max(1, Math.rint(HOP_S * sampleRate / factor));
    int window = (int) (Math.max(WINDOW_S, WINDOW_PERIODS / hz) * sampleRate / factor);
    hop = lowHop * factor;
    int n = Math.max(0, (to - from) / hop + 1);
    deviation = new double[n];
    power = new double[n];
    double[] weight = new double[n];
    Harmonic[] followed = new Harmonic[harmonics];
    for (int k = 1; k <= harmonics; k++) {
      followed[k - 1] = new Harmonic(k, k * hz / sampleRate * factor, window);
    }
    // One window more at the front, so that each place has an advance towards it.
    int before = lowHop + window / 2;
    float[] low = low(audio, from - before * factor, before + n * lowHop + window, factor, highest);
    BlockVector heard = new BlockVector(window);
    for (int i = -1; i < n; i++) {
      heard.load(low, before + i * lowHop - window / 2, window);
      for (Harmonic harmonic : followed) {
        follow(harmonic, heard, i, weight);
      }
    }
    for (int i = 0; i < n; i++) {
      deviation[i] = weight[i] > 0 ? deviation[i] / weight[i] : Double.NaN;
    }
  }

  /** One sample in {@code factor} of the audio, from one on; beyond its ends is silence. */
  private static float[] low(float[] audio, int first, int count, int factor, double highest) {
    if (factor > 1) {
      return new Decimator(factor, MARGIN * highest).apply(audio, first, count);
    }
    float[] all = new float[count];
    int from = Math.max(0, first);
    int to = Math.max(from, Math.min(audio.length, first + count));
    System.arraycopy(audio, from, all, from - first, to - from);
    return all;
  }

  /** One of the harmonics: its windowed oscillation, and what was heard of it last. */
  private static final class Harmonic {
    final int number;

    /** Cycles a sample that is left. */
    final double cycles;

    final BlockVector re;
    final BlockVector im;
    double phaseBefore;
    double sizeBefore;

    Harmonic(int number, double cycles, int window) {
      this.number = number;
      this.cycles = cycles;
      float[] cos = new float[window];
      float[] sin = new float[window];
      for (int i = 0; i < window; i++) {
        double hann = 0.5 - 0.5 * Math.cos(2 * Math.PI * (i + 0.5) / window);
        cos[i] = (float) (hann * Math.cos(2 * Math.PI * cycles * i));
        sin[i] = (float) (hann * -Math.sin(2 * Math.PI * cycles * i));
      }
      re = new BlockVector(window);
      im = new BlockVector(window);
      re.load(cos, 0, window);
      im.load(sin, 0, window);
    }
  }

  private void follow(Harmonic harmonic, BlockVector heard, int place, double[] weight) {
    double re = heard.dot(harmonic.re);
    double im = heard.dot(harmonic.im);
    double phase = Math.atan2(im, re) / (2 * Math.PI);
    double size = re * re + im * im;
    if (place >= 0) {
      double ahead = phase - harmonic.phaseBefore - harmonic.cycles * lowHop;
      ahead -= Math.rint(ahead);
      double harmonicWeight =
          Math.sqrt(size * harmonic.sizeBefore) * harmonic.number * harmonic.number;
      deviation[place] += harmonicWeight * ahead / (lowHop * harmonic.cycles);
      weight[place] += harmonicWeight;
      power[place] += size;
    }
    harmonic.phaseBefore = phase;
    harmonic.sizeBefore = size;
  }

  /** Samples from one place to the next; place 0 is the first sample followed. */
  public int hop() {
    return hop;
  }

  /** Number of places. */
  public int size() {
    return deviation.length;
  }

  /**
   * By which share of itself the frequency lies above the one given, half a hop before the place;
   * NaN in silence.
   */
  public double deviation(int place) {
    return deviation[place];
  }

  /** Power of the harmonics there, in units of its own. */
  public double power(int place) {
    return power[place];
  }
}
