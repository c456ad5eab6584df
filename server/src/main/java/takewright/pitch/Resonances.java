package takewright.pitch;

import java.util.Arrays;
import takewright.dsp.Cents;
import takewright.dsp.Decibels;
import takewright.dsp.Fft;
import takewright.dsp.Windows;

/**
 * The partials of a sound that is struck and rings, resolved by a window as long as it rings, and
 * the note that they allow.
 *
 * <p>The windows that vote on a period are short: they do not take apart the partials of a bell,
 * and every set of partials nearly repeats after some period. A period is a pitch only where its
 * fundamental is there or two neighbouring low harmonics stand for it (Terhardt, "Pitch,
 * consonance, and harmony", JASA 55(5), 1974), and where its harmonics hold the sound. What is not
 * harmonic has the pitch that players give it: a bar that of its lowest strong partial, a church
 * bell and a chime the strike note, an octave below the nominal (Fletcher and Rossing, The Physics
 * of Musical Instruments, 2nd edition, chapters 18 to 21). Anything else, such as a knock on wood,
 * has none.
 */
final class Resonances {
  /** The loudest frame is the attack; partials are steady from this much later on, in seconds. */
  private static final double ATTACK_S = 0.01;

  /** More resolution than this window's, in seconds, tells no more notes apart. */
  private static final double LONGEST_S = 0.4;

  /** In less than this, in seconds, the partials of low notes run into one another. */
  private static final double SHORTEST_S = 0.04;

  /** What is further below the loudest frame, 26 dB, has rung out. */
  private static final double RINGING = 0.05;

  /** What is struck falls, by 2 dB from the first to the last quarter of the window at least. */
  private static final double FALLING = 0.8;

  private static final double FRAME_S = 0.01;

  private static final double LOWEST_HZ = 40;
  private static final double HIGHEST_HZ = 12_000;
  private static final double HIGHEST_SHARE = 0.45;

  /** Partials lie at most this far below the strongest: 25 dB, above a Hann window's side lobes. */
  private static final double PRESENT = Decibels.toPower(-25);

  /** Those that name a sound lie at most this far below it: 15 dB. */
  private static final double STRONG = Decibels.toPower(-15);

  /** On both sides of a steady partial the spectrum falls by this much: 12 dB. */
  private static final double CONTRAST = Decibels.toPower(-12);

  /** Half width of a partial in resolved bins: the main lobe of a Hann window. */
  private static final double LOBE = 2;

  /** Share of the power that steady partials hold in a sound that rings. */
  private static final double MIN_TONAL = 0.8;

  /** More partials than this are those of a string or a reed, or noise. */
  private static final int MOST_PARTIALS = 16;

  /** Share of the power of the partials that the harmonics of a note hold. */
  private static final double MIN_HARMONIC = 0.7;

  /** How far a partial may lie off its multiple, as a share of it: 35 cents. */
  private static final double REACH = 0.02;

  /** Stiffness raises each partial a little further: 12 % in all. */
  private static final double MOST_STRETCH = 1.12;

  /** Neighbouring harmonics up to this one stand for a fundamental. */
  private static final int HIGHEST_NEIGHBOUR = 8;

  /** How far the partials of cast and cut metal lie off the published ratios: 50 cents. */
  private static final double CAST = 0.03;

  /** Share of the power of the partials that the partials of a shape hold. */
  private static final double MIN_OF_SHAPE = 0.8;

  /** And this much more than the harmonics of another note. */
  private static final double MORE = 0.02;

  /** The next partial above a bar's lowest is higher by at least this factor. */
  private static final double NEXT_OF_A_BAR = 1.9;

  /** And each further one than the one before by at least this: in bars it is 1.65 and more. */
  private static final double STEP_OF_A_BAR = 1.5;

  /** Others of a bar, such as those of its torsion, hold at most this share of the power. */
  private static final double MOST_STRANGE = 0.06;

  /** A partial that holds this share of the power is heard alone. */
  private static final double ALONE = 0.8;

  /**
   * Partials of what is cast or cut to sound a note.
   *
   * @param ratios to the note
   * @param needed how many of these, the first, are there in every one
   */
  private record Shape(double[] ratios, int needed) {}

  private static final Shape[] SHAPES = {
    // A church bell: nominal, tierce and prime; hum, quint and what is above.
    new Shape(new double[] {2, 1.2, 1, 0.5, 1.5, 2.5, 2.67, 3, 4}, 3),
    // A chime: modes 4, 5 and 6; 1 to 3 and 7.
    new Shape(new double[] {2, 2.99, 4.17, 0.22, 0.617, 1.21, 5.56}, 3),
  };

  /** Partials above it bend the period of a bar by no more than this, in cents. */
  private static final double BENT_CENTS = 60;

  /**
   * A partial is none of the harmonics that is so far off, in cents: among 23 takes bars have one
   * at 22 to 79, strings that are plucked come to 12 (one to 26) and bowed ones to 15;
   */
  private static final double INHARMONIC_CENTS = 20;

  /** and by this many resolved bins, to which the place of a peak is known. */
  private static final double OFF_BINS = 0.2;

  private final double[] hz;
  private final double[] power;
  private final double resolution;
  private final boolean isRinging;

  private Resonances(double[] hz, double[] power, double resolution, boolean isRinging) {
    this.hz = hz;
    this.power = power;
    this.resolution = resolution;
    this.isRinging = isRinging;
  }

  /**
   * Those of a sound, from its loudest frame on.
   *
   * @param lowestHz what is lower is the hum of a room
   */
  static Resonances of(float[] mono, int sampleRate, double lowestHz) {
    int frame = (int) (FRAME_S * sampleRate);
    int count = mono.length / frame;
    int[] starts = new int[count];
    Arrays.setAll(starts, k -> k * frame);
    double[] levels = WindowGrid.levels(mono, starts, frame);
    int loudest = 0;
    for (int k = 1; k < count; k++) {
      loudest = levels[k] > levels[loudest] ? k : loudest;
    }
    int first = loudest + (int) Math.round(ATTACK_S / FRAME_S);
    int last = first;
    int most = (int) Math.round(LONGEST_S / FRAME_S);
    while (last < count && last - first < most && levels[last] > RINGING * levels[loudest]) {
      last++;
    }
    int frames = (last - first) * frame;
    int quarter = (last - first) / 4;
    boolean falls =
        quarter > 0
            && level(levels, last - quarter, last)
                < FALLING * level(levels, first, first + quarter);
    return !falls || frames < SHORTEST_S * sampleRate
        ? new Resonances(new double[0], new double[0], 0, false)
        : of(mono, first * frame, frames, sampleRate, Math.max(LOWEST_HZ, lowestHz));
  }

  private static double level(double[] levels, int from, int to) {
    return Arrays.stream(levels, from, to).sum();
  }

  private static Resonances of(
      float[] mono, int from, int frames, int sampleRate, double lowestHz) {
    int size = 2 * Integer.highestOneBit(2 * frames - 1);
    Fft fft = Fft.of(size);
    float[] window = Windows.hann(frames);
    float[] work = new float[size];
    for (int i = 0; i < frames; i++) {
      work[i] = mono[from + i] * window[i];
    }
    fft.forward(work);
    float[] spectrum = new float[fft.bins()];
    fft.power(work, spectrum);
    double binHz = (double) sampleRate / size;
    double resolution = (double) sampleRate / frames;
    int lobe = (int) Math.ceil(LOBE * resolution / binHz);
    int low = (int) Math.max(2 * lobe + 1.0, lowestHz / binHz);
    int high =
        (int)
            Math.min(
                fft.bins() - 2 * lobe - 1.0,
                Math.min(HIGHEST_HZ, HIGHEST_SHARE * sampleRate) / binHz);
    double strongest = 0;
    double total = 0;
    for (int k = low; k < high; k++) {
      strongest = Math.max(strongest, spectrum[k]);
      total += spectrum[k];
    }
    double[] hz = new double[MOST_PARTIALS + 1];
    double[] power = new double[MOST_PARTIALS + 1];
    int count = 0;
    double held = 0;
    for (int k = low; k < high && count <= MOST_PARTIALS; k++) {
      if (spectrum[k] < PRESENT * strongest || !isPartial(spectrum, k, lobe)) {
        continue;
      }
      double a = Math.log(spectrum[k - 1] + 1e-30);
      double b = Math.log(spectrum[k]);
      double c = Math.log(spectrum[k + 1] + 1e-30);
      hz[count] = (k + 0.5 * (a - c) / (a - 2 * b + c)) * binHz;
      power[count++] = spectrum[k];
      for (int j = k - lobe; j <= k + lobe; j++) {
        held += spectrum[j];
      }
    }
    boolean isRinging = count > 0 && count <= MOST_PARTIALS && held >= MIN_TONAL * total;
    return new Resonances(
        Arrays.copyOf(hz, count), Arrays.copyOf(power, count), resolution, isRinging);
  }

  /** Whether a bin is the top of a steady partial. */
  private static boolean isPartial(float[] spectrum, int k, int lobe) {
    float below = spectrum[k];
    float above = spectrum[k];
    for (int j = 1; j <= 2 * lobe; j++) {
      if (j <= lobe / 2 && (spectrum[k - j] > spectrum[k] || spectrum[k + j] >= spectrum[k])) {
        return false;
      }
      below = Math.min(below, spectrum[k - j]);
      above = Math.min(above, spectrum[k + j]);
    }
    return below < CONTRAST * spectrum[k] && above < CONTRAST * spectrum[k];
  }

  /** Whether the sound consists of a few steady partials, so that they tell its note. */
  boolean isRinging() {
    return isRinging;
  }

  /**
   * Whether these partials are those of a harmonic note, or may be since its harmonics lie so close
   * that they run into one another: what is heard as one partial then says nothing of them.
   */
  boolean isHarmonic(double fundamental) {
    return fundamental < 2 * LOBE * resolution || harmonic(fundamental) >= MIN_HARMONIC;
  }

  /**
   * Share of the power that the harmonics of a note hold; 0 where neither its fundamental nor
   * neighbours that stand for it are there.
   *
   * @param fundamental in hertz
   */
  private double harmonic(double fundamental) {
    double stretch = 1;
    double held = 0;
    double all = 0;
    int before = -1;
    boolean isHeard = false;
    for (int p = 0; p < hz.length; p++) {
      all += power[p];
      int h = (int) Math.max(1, Math.round(hz[p] / (stretch * fundamental)));
      double off = hz[p] / (h * fundamental * stretch) - 1;
      double reach = Math.max(REACH, 0.5 * resolution / hz[p]);
      if (Math.abs(off) > Math.min(reach, 0.25 / h)) {
        continue;
      }
      held += power[p];
      isHeard |= h == 1 || h <= HIGHEST_NEIGHBOUR && h == before + 1;
      before = h;
      stretch = Math.max(1, Math.min(MOST_STRETCH, stretch * (1 + off)));
    }
    return isHeard ? held / all : 0;
  }

  /**
   * The note of a bell or a chime, in hertz: that of the shape that holds the most of the sound. 0
   * where none does, or where the harmonics of another note hold as much.
   *
   * @param named that other note, in hertz; 0 for none
   */
  double shaped(double named) {
    double harmonic = named > 0 ? harmonic(named) + MORE : 0;
    double best = Math.max(MIN_OF_SHAPE, harmonic);
    double note = 0;
    for (Shape shape : SHAPES) {
      // The first partial of a shape tells its note.
      for (double partial : hz) {
        double held = heldBy(shape, partial / shape.ratios[0]);
        if (held > best) {
          best = held;
          note = partial / shape.ratios[0];
        }
      }
    }
    return note;
  }

  /** Share of the power that a shape holds at a note; 0 where what it needs is not there. */
  private double heldBy(Shape shape, double note) {
    double strongest = Arrays.stream(power).max().orElse(0);
    double all = 0;
    double held = 0;
    int needed = 0;
    for (int p = 0; p < hz.length; p++) {
      all += power[p];
      for (int r = 0; r < shape.ratios.length; r++) {
        if (Math.abs(hz[p] / (note * shape.ratios[r]) - 1) <= CAST) {
          held += power[p];
          needed |= r < shape.needed && power[p] >= STRONG * strongest ? 1 << r : 0;
          break;
        }
      }
    }
    return needed == (1 << shape.needed) - 1 ? held / all : 0;
  }

  /**
   * Whether a note is a bar's: its lowest partial lies there, and another one off its harmonics.
   * Windows too short to resolve them miss it where the others are soft or soon over.
   *
   * @param note in hertz
   */
  boolean isBar(double note) {
    double bar = bar();
    if (bar == 0 || Cents.apart(bar, note) > BENT_CENTS) {
      return false;
    }
    for (double partial : hz) {
      double harmonic = bar * Math.rint(partial / bar);
      boolean isAbove = harmonic > bar;
      if (isAbove
          && Cents.apart(partial, harmonic) >= INHARMONIC_CENTS
          && Math.abs(partial - harmonic) >= OFF_BINS * resolution) {
        return true;
      }
    }
    return false;
  }

  /** The lowest strong partial of a bar, in hertz; 0 where the partials are none of a bar's. */
  double bar() {
    if (hz.length == 0) {
      return 0;
    }
    double all = 0;
    int top = 0;
    for (int p = 0; p < hz.length; p++) {
      all += power[p];
      top = power[p] > power[top] ? p : top;
    }
    double strongest = power[top];
    if (strongest >= ALONE * all) {
      return hz[top];
    }
    double lowest = 0;
    double before = 0;
    double strange = 0;
    for (int p = 0; p < hz.length; p++) {
      double min = before == lowest ? NEXT_OF_A_BAR : STEP_OF_A_BAR;
      if (lowest == 0 && power[p] < STRONG * strongest || lowest > 0 && hz[p] < min * before) {
        strange += power[p];
      } else {
        before = hz[p];
        lowest = lowest == 0 ? before : lowest;
      }
    }
    return strange <= MOST_STRANGE * all ? lowest : 0;
  }
}
