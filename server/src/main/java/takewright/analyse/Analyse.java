package takewright.analyse;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import takewright.audio.Clip;

/** Measures one sample: its pitch, level and noise. */
public final class Analyse {
  /** Votes that must agree for a pitch: below a half there is no one note. */
  private static final double LEAST_SHARE = 0.5;

  /** Windows for the octave: more do not change the vote. */
  private static final int COARSE_WINDOWS = 64;

  /**
   * Windows for the cents: a vibrato of 30 cents leaves the median of so many about a cent
   * unsteady.
   */
  private static final int FINE_WINDOWS = 200;

  /** Windows this far below the loudest (20 dB) belong to the attack or the tail. */
  private static final double STEADY_SHARE = 0.1;

  /** Runs of this many samples at full scale are clipped: a sine just touching it has fewer. */
  private static final int CLIPPED_RUN = 3;

  /** Full scale as the largest 16-bit integer reads it. */
  private static final float FULL_SCALE = 32767f / 32768;

  /** The true peak of digital silence as {@link Levels} gives it. */
  private static final double SILENCE_DBTP = -200;

  private Analyse() {}

  /** The facts of {@code sample}, which is one note, hit or phrase. */
  public static SampleFacts apply(Clip sample, AnalyseSettings settings) {
    List<String> flags = new ArrayList<>();
    Pitch pitch = settings.unpitched() ? null : pitch(sample, settings.tuningHz());
    Levels levels = Levels.measure(sample);
    if (levels.peakDbtp() <= SILENCE_DBTP) {
      flags.add("silent");
    } else if (pitch == null && !settings.unpitched()) {
      flags.add("no_pitch");
    }
    if (clipped(sample)) {
      flags.add("clipped");
    }
    return new SampleFacts(pitch, levels.levelLufs(), levels.peakDbtp(), levels.floorDbfs(), flags);
  }

  /** The pitch of the steady part, or null where no one note is heard. */
  static Pitch pitch(Clip sample, double tuningHz) {
    float[] mono = sample.mono();
    PitchDetector detector = new PitchDetector(sample.sampleRate());
    if (mono.length < detector.window()) {
      mono = Arrays.copyOf(mono, detector.window());
    }
    double[] levels = new double[COARSE_WINDOWS];
    double loudest = 0;
    int[] starts = spread(mono.length, detector.window(), COARSE_WINDOWS);
    for (int i = 0; i < starts.length; i++) {
      levels[i] = rms(mono, starts[i], detector.window());
      loudest = Math.max(loudest, levels[i]);
    }
    PitchTrack track = new PitchTrack();
    for (int i = 0; i < starts.length; i++) {
      if (levels[i] > STEADY_SHARE * loudest) {
        track.add(starts[i] + detector.window() / 2, detector, detector.find(mono, starts[i]));
      }
    }
    PitchTrack.Summary summary = track.summary(0);
    if (summary.share() < LEAST_SHARE) {
      return null;
    }
    double frequency = fine(mono, sample.sampleRate(), summary.frequencyHz());
    return Pitch.of(frequency, tuningHz, summary.share());
  }

  /** The median over the steady part of the exact frequency, in hertz. */
  private static double fine(float[] mono, int sampleRate, double expectedHz) {
    FinePitch fine = new FinePitch(sampleRate, expectedHz);
    if (mono.length < fine.length()) {
      mono = Arrays.copyOf(mono, fine.length());
    }
    int[] starts = spread(mono.length, fine.length(), FINE_WINDOWS);
    double[] levels = new double[starts.length];
    double loudest = 0;
    for (int i = 0; i < starts.length; i++) {
      levels[i] = rms(mono, starts[i], fine.length());
      loudest = Math.max(loudest, levels[i]);
    }
    double[] found = new double[starts.length];
    int n = 0;
    for (int i = 0; i < starts.length; i++) {
      if (levels[i] > STEADY_SHARE * loudest) {
        double frequency = fine.measure(mono, starts[i]);
        if (!Double.isNaN(frequency)) {
          found[n++] = frequency;
        }
      }
    }
    if (n == 0) {
      return expectedHz;
    }
    Arrays.sort(found, 0, n);
    return n % 2 == 1 ? found[n / 2] : 0.5 * (found[n / 2 - 1] + found[n / 2]);
  }

  /** Starts of at most {@code most} windows laid evenly over {@code length} samples. */
  private static int[] spread(int length, int window, int most) {
    int room = length - window;
    // Windows overlap by no more than three quarters: closer ones say the same again.
    int n = (int) Math.min(most, 1 + 4L * room / window);
    int[] starts = new int[n];
    for (int i = 0; i < n; i++) {
      starts[i] = n == 1 ? room / 2 : (int) ((long) room * i / (n - 1));
    }
    return starts;
  }

  private static double rms(float[] audio, int from, int length) {
    double sum = 0;
    for (int i = from; i < from + length; i++) {
      sum += (double) audio[i] * audio[i];
    }
    return Math.sqrt(sum / length);
  }

  /** Whether any channel stays at full scale for several samples. */
  private static boolean clipped(Clip sample) {
    for (int c = 0; c < sample.channels(); c++) {
      int run = 0;
      for (float x : sample.channel(c)) {
        run = Math.abs(x) >= FULL_SCALE ? run + 1 : 0;
        if (run >= CLIPPED_RUN) {
          return true;
        }
      }
    }
    return false;
  }
}
