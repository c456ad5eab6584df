package takewright.segment;

import takewright.dsp.Cents;
import takewright.dsp.Decibels;
import takewright.dsp.Medians;
import takewright.pitch.PitchDetector;
import takewright.pitch.PitchTrack;
import takewright.segment.room.Columns;
import takewright.segment.room.FloatHistory;

/** The pitch that holds before or behind a column, and whether it goes on as a note's does. */
final class HeldPitch {
  /** Two notes are this far apart at least, in cents; a vibrato stays within. */
  static final double APART_CENTS = 70;

  /**
   * A pitch holds where this many windows agree to within this many cents; a voice's hardly ever
   * do.
   */
  private static final int HOLDING = 3;

  private static final double HOLDS_CENTS = 35;

  /** Share of the windows within {@link #NOTE_S} of an attack that a note's pitch goes on in. */
  private static final double MOSTLY = 0.7;

  /** Longer than a syllable, in seconds. */
  static final double NOTE_S = 0.4;

  /**
   * No vowel of a word lasts so long, in seconds: they last 0.05 to 0.25 s (from memory), and a
   * pitch must be held through most of this.
   */
  private static final double LONG_S = 0.8;

  /**
   * Times a held pitch is looked for after an attack, and before one across a short pause, each by
   * these windows further away.
   */
  static final int TRIES = 5;

  /** From one of these windows to the next, in seconds. */
  private static final double STEP_S = 0.03;

  private final Columns columns;
  private final FloatHistory audio;
  private final int hop;
  private final int sampleRate;
  private final PitchDetector detector;
  private final float[] window;
  private final double[] probabilities = new double[64];
  private final Comb comb = new Comb();
  private final double[] besides = new double[(int) Math.ceil(NOTE_S / STEP_S)];

  HeldPitch(Columns columns, PitchDetector detector) {
    this.columns = columns;
    this.detector = detector;
    audio = columns.audio();
    hop = columns.hop();
    sampleRate = columns.sampleRate();
    window = new float[detector.window()];
  }

  /** Whether audio was heard for as long behind a column as a note's pitch goes on in. */
  boolean isHeardBehind(long column, long frames) {
    return column * hop + 2L * window.length + (long) (NOTE_S * sampleRate) <= frames;
  }

  /** The pitch that holds after a column, in hertz; 0 for none: an attack may take a while. */
  double after(long column) {
    long first = column * hop + window.length / 2 + hop;
    double held = 0;
    for (int k = 0; k < TRIES && held <= 0; k++) {
      held = held(first + k * span());
    }
    return held;
  }

  /**
   * Whether a pitch goes on for as long as a note does: a syllable's, which may hold for a moment,
   * has gone elsewhere by then.
   *
   * @param most power of the strongest column
   * @param faintDb what lies this far below it, in dB, no longer counts
   * @param cents how far the pitch may stray
   */
  boolean goesOn(long column, double hertz, double most, double faintDb, double cents) {
    long first = column * hop + window.length / 2 + hop;
    int heard = 0;
    int same = 0;
    for (int k = 0; k * STEP_S < NOTE_S; k++) {
      double pitch = pitch(first + k * (long) (STEP_S * sampleRate));
      if (below(most) < faintDb) {
        heard++;
        same +=
            pitch > 0 && (Cents.apart(pitch, hertz) <= cents || isRelated(pitch, hertz)) ? 1 : 0;
      }
    }
    return heard >= HOLDING && same >= MOSTLY * heard;
  }

  /** Whether a pitch holds behind a column, and so goes on. */
  boolean goesOn(long column, double most, double faintDb, double cents) {
    if (!isHeardBehind(column, columns.frames())) {
      return false;
    }
    double now = after(column);
    return now > 0 && goesOn(column, now, most, faintDb, cents);
  }

  /** Whether a pitch is held behind a column for longer than any vowel, however softly. */
  boolean isHeld(long column, double hertz) {
    long first = column * hop + window.length / 2 + hop;
    int windows = 0;
    int same = 0;
    for (; windows * STEP_S < LONG_S; windows++) {
      double pitch = pitch(first + windows * (long) (STEP_S * sampleRate));
      same += pitch > 0 && Cents.apart(pitch, hertz) <= APART_CENTS ? 1 : 0;
    }
    return same >= MOSTLY * windows;
  }

  /**
   * The pitch of another note that begins at a column while one rings, in hertz; 0 for none. What
   * is left without the partials of the one that rings must be far louder from there on, and hold
   * one pitch as long as it is heard.
   *
   * @param ringing pitch of the one that rings, in hertz
   * @param riseDb by how much what is left must rise, in dB
   * @param faintDb what lies this far below its most, in dB, no longer counts
   */
  double beside(long column, double ringing, double riseDb, double faintDb) {
    double period = sampleRate / ringing;
    long first = column * hop + window.length / 2 + hop;
    comb.copy(audio, column * hop - window.length / 2 - hop, period, window);
    pitchOfWindow();
    double before = power();
    double most = 0;
    int heard = 0;
    for (int k = 0; k < besides.length; k++) {
      comb.copy(audio, first + k * (long) (STEP_S * sampleRate), period, window);
      double pitch = pitchOfWindow();
      most = Math.max(most, power());
      if (below(most) < faintDb) {
        besides[heard++] = pitch;
      }
    }
    if (heard < HOLDING || Decibels.fromPower(most / (before + 1e-14)) < riseDb) {
      return 0;
    }
    double pitch = Medians.of(besides, heard);
    int same = 0;
    for (int k = 0; k < heard; k++) {
      same += besides[k] > 0 && Cents.apart(besides[k], pitch) <= HOLDS_CENTS ? 1 : 0;
    }
    return pitch > 0 && same >= MOSTLY * heard ? pitch : 0;
  }

  /**
   * The pitch that holds before a column, in hertz; 0 for none.
   *
   * @param from frame from which on that note is heard
   * @param tries how far back it is looked for
   */
  double before(long column, long from, int tries) {
    long first = column * hop - window.length / 2 - hop - span();
    double before = 0;
    for (int k = 0; k < tries && before <= 0; k++) {
      long at = first - k * span();
      before = at - window.length / 2 < from ? 0 : held(at);
    }
    return before;
  }

  /** Frames from the first to the last window that a held pitch is looked for in. */
  long span() {
    return (HOLDING - 1) * (long) (STEP_S * sampleRate);
  }

  /** Whether two pitches, in hertz, are of two notes. */
  static boolean isAnother(double before, double now) {
    return Cents.apart(before, now) > APART_CENTS && !isRelated(before, now);
  }

  /** Whether one is a low harmonic of the other: rather the same note misheard in its attack. */
  private static boolean isRelated(double a, double b) {
    double ratio = Math.max(a, b) / Math.min(a, b);
    long whole = Math.round(ratio);
    return whole >= 2 && whole <= 4 && Cents.apart(ratio, whole) <= APART_CENTS;
  }

  /** Whether a pitch holds around a column. */
  boolean holds(long column) {
    return held(column * hop - span() / 2) > 0;
  }

  /** The pitch that windows from one around a frame on agree on, in hertz; 0 if they do not. */
  private double held(long first) {
    double one = pitch(first);
    for (int k = 1; k < HOLDING && one > 0; k++) {
      double other = pitch(first + k * (long) (STEP_S * sampleRate));
      one = other > 0 && Cents.apart(one, other) <= HOLDS_CENTS ? one : 0;
    }
    return one;
  }

  /** The likeliest pitch of the window around a frame, in hertz; 0 for none. */
  private double pitch(long centre) {
    audio.copy(centre - window.length / 2, window, window.length);
    return pitchOfWindow();
  }

  /** The likeliest pitch of what the window holds, in hertz; 0 for none. */
  private double pitchOfWindow() {
    int candidates = detector.find(window, 0);
    if (candidates == 0 || detector.deepest() > PitchTrack.MAX_APERIODIC) {
      return 0;
    }
    detector.probabilities(probabilities);
    int best = 0;
    for (int c = 1; c < candidates; c++) {
      best = probabilities[c] > probabilities[best] ? c : best;
    }
    return detector.frequency(best);
  }

  /** How far the window that was looked at last lies below a power, in dB. */
  private double below(double power) {
    return Decibels.fromPower((power + 1e-14) / (power() + 1e-14));
  }

  /** Mean square of the window that was looked at last. */
  private double power() {
    return detector.rms() * detector.rms();
  }
}
