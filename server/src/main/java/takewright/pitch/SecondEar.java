package takewright.pitch;

import be.tarsos.dsp.pitch.FastYin;
import be.tarsos.dsp.pitch.McLeodPitchMethod;
import be.tarsos.dsp.pitch.PitchDetectionResult;
import java.util.Arrays;
import takewright.audio.Clip;
import takewright.dsp.Cents;

/**
 * A second, independent opinion on the name of a note: TarsosDSP's detectors. They share no code
 * and no choice with ours, so that a fault of ours does not go unnoticed.
 *
 * <p>They are asked only within what they are good at. FastYin lacks the last step of the paper (a
 * search for the best dip around the first one under the threshold) and so may take half a period
 * for a whole; the McLeod method (MPM) does not, but slips octaves below 80 Hz and is slow. Both
 * are a cent or two high at high pitches, which is nothing against a quarter tone. Both know
 * periods only, which of bars are not the pitch. So the name is contradicted only where FastYin is
 * confident in most of the windows and these agree among themselves, and where, from 80 Hz on, the
 * McLeod method hears the same in them; a bar is not asked about.
 */
public final class SecondEar {
  /** A contradiction is off by more than this, in cents; octaves count. */
  private static final double QUARTER_TONE = 50;

  /** Windows that are listened to, spread over the loud part of a note. */
  private static final int WINDOWS = 7;

  /** Share of the windows that must agree. */
  private static final double MIN_AGREEING = 0.7;

  /** FastYin's own threshold, which is the paper's. */
  private static final double THRESHOLD = 0.1;

  /** Windows hold this many of the named period: two even where the note is an octave lower. */
  private static final double PERIODS = 4.4;

  private static final int MIN_WINDOW = 2048;

  /** Windows below this share of the loudest belong to the attack or the tail. */
  private static final double LOUD = 0.25;

  /** Below this the McLeod method slips octaves, in hertz. */
  private static final double LOWEST_OF_MC_LEOD_HZ = 80;

  private SecondEar() {}

  /**
   * Whether the second ear hears another note than the name says.
   *
   * @param sample one note
   * @param namedHz frequency of the note by its name, in hertz, 16 to 8000
   */
  public static boolean contradicts(Clip sample, double namedHz) {
    int rate = sample.sampleRate();
    int size = Math.max(MIN_WINDOW, powerOfTwo(PERIODS * rate / namedHz));
    float[] mono = sample.mono();
    if (mono.length < size) {
      return false;
    }
    float[][] windows = loud(mono, size);
    double[] heard = new double[windows.length];
    FastYin yin = new FastYin(rate, size, THRESHOLD);
    int against = windows.length;
    for (int w = 0; w < windows.length; w++) {
      heard[w] = pitch(yin.getPitch(windows[w]));
      // Most notes are done with here: too few windows are left that could be against the name.
      against -= Cents.apart(heard[w], namedHz) > QUARTER_TONE ? 0 : 1;
      if (against < MIN_AGREEING * windows.length) {
        return false;
      }
    }
    double middle = agreed(heard, namedHz);
    if (Double.isNaN(middle)) {
      return false;
    }
    if (isBar(mono, rate)) {
      return false;
    }
    if (middle < LOWEST_OF_MC_LEOD_HZ) {
      return true;
    }
    McLeodPitchMethod mcLeod = new McLeodPitchMethod(rate, size);
    double[] again = new double[windows.length];
    for (int w = 0; w < windows.length; w++) {
      again[w] = pitch(mcLeod.getPitch(windows[w]));
    }
    double other = agreed(again, namedHz);
    return !Double.isNaN(other) && Cents.apart(other, middle) <= QUARTER_TONE;
  }

  /** Whether the sound is that of a bar, by its partials. */
  private static boolean isBar(float[] mono, int rate) {
    PitchDetector detector = new PitchDetector(rate);
    if (mono.length < detector.window()) {
      return false;
    }
    int bars = 0;
    float[][] windows = loud(mono, detector.window());
    for (float[] window : windows) {
      detector.find(window, 0);
      bars += detector.spectrum().isInharmonic() ? 1 : 0;
    }
    return 2 * bars > windows.length;
  }

  private static double pitch(PitchDetectionResult result) {
    return result.isPitched() && result.getPitch() > 0 ? result.getPitch() : Double.NaN;
  }

  /** The pitch that most windows agree on where it is another than the name; NaN for none. */
  private static double agreed(double[] heard, double namedHz) {
    double[] known = Arrays.stream(heard).filter(hz -> !Double.isNaN(hz)).sorted().toArray();
    if (known.length < MIN_AGREEING * heard.length) {
      return Double.NaN;
    }
    double middle = known[known.length / 2];
    long near = Arrays.stream(known).filter(hz -> Cents.apart(hz, middle) <= QUARTER_TONE).count();
    boolean agrees = near >= MIN_AGREEING * heard.length;
    return agrees && Cents.apart(middle, namedHz) > QUARTER_TONE ? middle : Double.NaN;
  }

  /** Windows spread over what is loud. */
  private static float[][] loud(float[] mono, int size) {
    int[] starts = WindowGrid.starts(mono.length, size, 4 * WINDOWS);
    double[] levels = WindowGrid.levels(mono, starts, size);
    double min = LOUD * Arrays.stream(levels).max().orElse(0);
    int[] loud = new int[starts.length];
    int count = 0;
    for (int i = 0; i < starts.length; i++) {
      if (levels[i] >= min) {
        loud[count++] = starts[i];
      }
    }
    int n = Math.min(WINDOWS, count);
    float[][] windows = new float[n][];
    for (int w = 0; w < n; w++) {
      int at = loud[n == 1 ? count / 2 : w * (count - 1) / (n - 1)];
      windows[w] = Arrays.copyOfRange(mono, at, at + size);
    }
    return windows;
  }

  private static int powerOfTwo(double min) {
    return Integer.highestOneBit((int) Math.ceil(min) - 1) * 2;
  }
}
