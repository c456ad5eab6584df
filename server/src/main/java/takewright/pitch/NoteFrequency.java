package takewright.pitch;

import java.util.Arrays;
import takewright.dsp.Cents;
import takewright.dsp.Medians;

/**
 * The frequency that a listener would name for a note, and how uncertain it is.
 *
 * <p>Of a note that holds, it is the median of the exact frequencies of windows over the steady
 * part. A short note hardly has a steady part: its pitch glides in from the attack and moves with
 * half a swing of vibrato. Listeners hear such notes as a weighted mean over time in which the end
 * counts most (d'Alessandro and Castellengo, "The pitch of short-duration vibrato tones", JASA
 * 95(3), 1994), and what is loud and clear counts more. So the attack is left out and each window
 * weighs by loudness, clarity and recency.
 *
 * @param hz frequency in hertz; the expected one where nothing repeats
 * @param uncertaintyCents one standard deviation of the frequency, in cents, as far as the windows
 *     show it; NaN where nothing repeats
 */
record NoteFrequency(double hz, double uncertaintyCents) {
  /**
   * Windows of a note that holds: a vibrato of 30 cents leaves the median of this many about a cent
   * unsteady.
   */
  private static final int MAX_WINDOWS = 200;

  /** With fewer than twice this many windows none is left out. */
  private static final int FEW_WINDOWS = 24;

  /** With a mean deviation of 1 cent the median of so few is good to 0.25 cents. */
  private static final double STEADY = 0.00058;

  /** Notes that sound for less, in seconds, are heard as short ones: a few swings of a vibrato. */
  private static final double SHORT_S = 0.8;

  /** Attack of a short note that is left out, in seconds: a bow has settled then. */
  private static final double ATTACK_S = 0.08;

  /** Distance of the windows of a short note, in seconds. */
  private static final double HOP_S = 0.01;

  /** A short note's attack is left out only where this many windows remain. */
  private static final int MIN_WINDOWS = 3;

  /** A note sounds where it is louder than this share of its loudest: down to 26 dB below. */
  private static final double SOUNDING = 0.05;

  /** It is also louder than the room by this factor, 6 dB, */
  private static final double ABOVE_ROOM = 2;

  /** but no room counts as louder than this share of the loudest: a held note has no room. */
  private static final double MAX_ROOM = 0.15;

  /** The quietest share of a region that shows the room. */
  private static final double QUIETEST = 0.1;

  /**
   * The weight grows with this power of the level: half of what loudness does (Stevens, JASA 27(5),
   * 1955), since a bow pushes the pitch where it is loudest.
   */
  private static final double LOUDNESS = 0.3;

  /**
   * The weight decays by this from the end, in 1/s, to what remains of all before. The paper has 22
   * and 0.2 (from memory); more remains here, so that round robins repeat better.
   */
  private static final double RECENCY = 22;

  private static final double MEMORY = 0.5;

  /** Added to what does not repeat: a window of noise weighs about half as much as a clear one. */
  private static final double UNCLEAR = 1;

  /** Windows of which less than this share repeats are room, or not settled. */
  private static final double MIN_CLARITY = 0.5;

  /** Share of the windows' spread that their median is uncertain by, for one window's length. */
  private static final double SHARE_OF_SPREAD = 0.5;

  /** Nothing is more certain than this, in cents. */
  private static final double MIN_UNCERTAINTY = 0.3;

  /** Standard deviations of a mean absolute deviation, of values that are normally spread. */
  private static final double SIGMAS = Math.sqrt(Math.PI / 2);

  /** A window further away than this, in cents, has heard something else. */
  private static final double MAX_AWAY = 60;

  /** Length of a level's frame, in seconds. */
  private static final double LEVEL_S = 0.01;

  /** Whether anything was heard to repeat. */
  boolean isHeard() {
    return !Double.isNaN(uncertaintyCents);
  }

  /** The pitch of this frequency, where A4 (MIDI 69) has {@code tuningHz}. */
  Pitch pitch(double tuningHz, double confidence) {
    return Pitch.of(hz, tuningHz, confidence).within(uncertaintyCents);
  }

  /**
   * The frequency of a note.
   *
   * @param audio the note, which may begin before its onset
   * @param expectedHz where it lies to within a quarter tone
   */
  static NoteFrequency of(float[] audio, int sampleRate, double expectedHz) {
    int frame = (int) (LEVEL_S * sampleRate);
    int[] sounding = sounding(audio, frame);
    int frames = sounding[1] - sounding[0];
    boolean isShort = frames < SHORT_S * sampleRate;
    FinePitch fine;
    HeardWindows heard;
    if (isShort) {
      // By the length of the note, not of the region: the room behind it changes nothing.
      fine = FinePitch.ofShort(sampleRate, expectedHz, frames);
      heard = new HeardWindows((frames + fine.length()) / frame + 1);
      hearShort(audio, sampleRate, sounding, fine, heard);
    } else {
      fine = new FinePitch(sampleRate, expectedHz, audio.length);
      heard = new HeardWindows(MAX_WINDOWS);
      hearLong(audio, fine, heard);
    }
    return heard.result(expectedHz, (double) frames / fine.length());
  }

  /** First and last frame of what sounds. */
  private static int[] sounding(float[] audio, int frame) {
    int n = Math.max(1, audio.length / frame);
    int[] starts = new int[n];
    for (int k = 0; k < n; k++) {
      starts[k] = k * frame;
    }
    double[] levels = WindowGrid.levels(audio, starts, frame);
    double loudest = Arrays.stream(levels).max().orElse(0);
    double[] sorted = levels.clone();
    Arrays.sort(sorted);
    double room = Math.min(MAX_ROOM * loudest, sorted[(int) (QUIETEST * n)]);
    double min = Math.max(SOUNDING * loudest, ABOVE_ROOM * room);
    int from = 0;
    int to = n - 1;
    while (from < to && levels[from] < min) {
      from++;
    }
    while (to > from && levels[to] < min) {
      to--;
    }
    return new int[] {from * frame, Math.min(audio.length, (to + 1) * frame)};
  }

  /** Windows that begin in what sounds and have a part of it; the last reach into silence. */
  private static void hearShort(
      float[] audio, int sampleRate, int[] sounding, FinePitch fine, HeardWindows heard) {
    int half = fine.length() / 2;
    int hop = (int) (HOP_S * sampleRate);
    int attack = (int) (ATTACK_S * sampleRate);
    int left = sounding[1] - sounding[0] - attack;
    int first = sounding[0] + (left >= MIN_WINDOWS * hop ? attack : 0);
    int max = 1 + Math.max(0, Math.min(audio.length, sounding[1] + half) - 1 - first) / hop;
    float[] padded = new float[audio.length + half + fine.length()];
    System.arraycopy(audio, 0, padded, half, audio.length);
    double[] hz = new double[max];
    double[] levels = new double[max];
    double[] clarities = new double[max];
    double loudest = 0;
    int last = -1;
    for (int i = 0; i < max; i++) {
      // Counted in the padded audio, so that the middle of the window lies there.
      hz[i] = fine.measure(padded, first + i * hop);
      levels[i] = fine.level();
      clarities[i] = Double.isNaN(hz[i]) ? 0 : fine.clarity();
      loudest = Math.max(loudest, levels[i]);
      last = clarities[i] >= MIN_CLARITY && levels[i] >= SOUNDING * loudest ? i : last;
    }
    // Where nothing is clear, what there is has to do.
    double minClarity = last < 0 ? 0 : MIN_CLARITY;
    last = last < 0 ? max - 1 : last;
    for (int i = 0; i <= last; i++) {
      if (clarities[i] >= minClarity && !Double.isNaN(hz[i])) {
        double recency = Math.exp(-RECENCY * (last - i) * HOP_S) + MEMORY;
        double clarity = 1 / (UNCLEAR + 1 - clarities[i]);
        heard.add(hz[i], Math.pow(levels[i] / loudest, LOUDNESS) * recency * clarity);
      }
    }
  }

  /**
   * Every window weighs alike, or a vibrato whose swings differ in level comes out up to 4 cents
   * off; only where the windows are few does their level count.
   */
  private static void hearLong(float[] audio, FinePitch fine, HeardWindows heard) {
    float[] mono = audio.length < fine.length() ? Arrays.copyOf(audio, fine.length()) : audio;
    int[] starts = WindowGrid.starts(mono.length, fine.length(), MAX_WINDOWS);
    double[] levels = WindowGrid.levels(mono, starts, fine.length());
    double loudest = Arrays.stream(levels).max().orElse(0);
    // First every other one: they overlap, and of a steady note have heard everything. A vibrato
    // wants all of them.
    boolean isFew = starts.length < 2 * FEW_WINDOWS;
    int every = isFew ? 1 : 2;
    for (boolean first : new boolean[] {true, false}) {
      for (int i = 0; i < starts.length; i++) {
        boolean ofFirst = i % every == 0;
        if (ofFirst == first && levels[i] > PitchOfNote.STEADY_SHARE * loudest) {
          double hz = fine.measure(mono, starts[i]);
          if (!Double.isNaN(hz)) {
            heard.add(hz, isFew ? levels[i] : 1);
          }
        }
      }
      if (heard.isSteady()) {
        break;
      }
    }
  }

  /** What the windows have heard. */
  private static final class HeardWindows {
    private final double[] hz;
    private final double[] weight;
    private int count;

    HeardWindows(int max) {
      hz = new double[max];
      weight = new double[max];
    }

    void add(double frequency, double itsWeight) {
      hz[count] = frequency;
      weight[count++] = itsWeight;
    }

    /** Whether enough windows lie so close together that more would not move the median. */
    boolean isSteady() {
      if (count < FEW_WINDOWS / 2) {
        return false;
      }
      double mean = 0;
      for (int i = 0; i < count; i++) {
        mean += hz[i] / count;
      }
      double off = 0;
      for (int i = 0; i < count; i++) {
        off += Math.abs(hz[i] - mean) / count;
      }
      return off <= STEADY * mean;
    }

    /**
     * The median and its uncertainty.
     *
     * @param windows how many windows would lie side by side in what sounds
     */
    NoteFrequency result(double expectedHz, double windows) {
      if (count == 0) {
        return new NoteFrequency(expectedHz, Double.NaN);
      }
      double middle = Medians.weighted(hz, weight, count);
      double total = 0;
      double away = 0;
      for (int i = 0; i < count; i++) {
        double cents = Cents.apart(hz[i], middle);
        total += weight[i];
        away += weight[i] * Math.min(MAX_AWAY, cents);
      }
      double spread = SIGMAS * away / total;
      double share = SHARE_OF_SPREAD / Math.sqrt(Math.max(1, windows));
      return new NoteFrequency(middle, Math.hypot(MIN_UNCERTAINTY, share * spread));
    }
  }
}
