package takewright.analyse;

import java.util.Arrays;
import takewright.audio.Clip;

/**
 * The one pitch of a whole sample, 16 Hz to 8 kHz: first its octave, by the votes of windows, then
 * its cents, by the exact frequency of the steady part.
 *
 * <p>Measured on 60 recordings of violin, double bass and saxophone, moved by octaves and fifths
 * over this range and with room tone 40, 20 and 10 dB below the note, the votes named every note,
 * where the sum of harmonics missed one in ten: so they decide, and {@link HarmonicSum} is kept for
 * several notes at once.
 */
final class PitchOfNote {
  /** Votes that must agree for a pitch: in noise and in hits not a third do. */
  private static final double LEAST_SHARE = 0.42;

  /** Windows for the octave: more do not change the vote. */
  private static final int COARSE_WINDOWS = 64;

  /** Every so manieth of them is looked at first. */
  private static final int FIRST_LOOK = 6;

  /** Where so many of their votes agree, the others would only say the same. */
  private static final double UNANIMOUS = 0.9;

  /** Windows that must agree for that. */
  private static final int LEAST_VOTERS = 6;

  /**
   * Windows for the cents: a vibrato of 30 cents leaves the median of so many about a cent
   * unsteady.
   */
  private static final int FINE_WINDOWS = 200;

  /** As many are taken though they overlap by more than half: they change it by 0.1 cents. */
  private static final int FEW_WINDOWS = 24;

  /** Windows this far below the loudest (20 dB) belong to the attack or the tail. */
  static final double STEADY_SHARE = 0.1;

  /** Pitches below twice the usual lowest may be overtones of a lower one. */
  private static final double LOW_HZ = 2 * PitchDetector.LOWEST_HZ;

  /** Above this a pitch may be the half or third of one beyond the usual highest. */
  private static final double HIGH_HZ = PitchDetector.HIGHEST_HZ / 3;

  /** Power of the overtones that only the lower of two octaves has, at least: -35 dB. */
  private static final double LEAST_ODD_POWER = 3e-4;

  /** A note this near to the one expected, in cents, is that one. */
  private static final double NEAR_CENTS = 100;

  /** With this confidence another note than the one expected is believed. */
  private static final double PLAIN = 0.7;

  /** Confidence in a pitch that was measured only where it was expected. */
  private static final double UNSURE = 0.3;

  private PitchOfNote() {}

  /** The pitch of the steady part, or null where no one note is heard. */
  static Pitch of(Clip sample, double tuningHz) {
    float[] mono = sample.mono();
    int rate = sample.sampleRate();
    PitchTrack.Summary usual = votes(mono, new PitchDetector(rate));
    double frequency = usual.share() < LEAST_SHARE ? 0 : usual.frequencyHz();
    double share = usual.share();
    // A longer window costs speed and blurs short notes: it is taken only where it may be needed.
    if (frequency < LOW_HZ && usual.voiced() > 0) {
      PitchDetector wide = new PitchDetector(rate, HarmonicSum.LOWEST_HZ, PitchDetector.HIGHEST_HZ);
      PitchTrack.Summary low = votes(mono, wide);
      if (low.share() >= LEAST_SHARE && low.frequencyHz() < PitchDetector.LOWEST_HZ) {
        frequency = low.frequencyHz();
        share = low.share();
      }
    }
    if (frequency == 0) {
      return null;
    }
    if (frequency > HIGH_HZ) {
      frequency *= multiple(Partials.of(mono, rate, 0, mono.length), frequency);
    }
    return Pitch.of(fine(mono, rate, frequency), tuningHz, Confidence.of(share));
  }

  /**
   * The pitch of a sample whose note is known. Short low notes hardly get to repeat before they are
   * over, and no vote can find them: unless another note is plainly heard, it is measured at the
   * one expected.
   *
   * @param expectedHz the note's frequency in hertz
   */
  static Pitch expecting(Clip sample, double expectedHz, double tuningHz) {
    Pitch heard = of(sample, tuningHz);
    double off =
        heard == null ? 0 : 1200 * Math.log(heard.frequencyHz() / expectedHz) / Math.log(2);
    boolean atIt = heard != null && Math.abs(off) <= NEAR_CENTS;
    boolean octave = Math.abs(off - 1200 * Math.round(off / 1200)) <= NEAR_CENTS;
    if (atIt || heard != null && !octave && heard.confidence() >= PLAIN) {
      return heard;
    }
    float[] mono = sample.mono();
    double exact = fine(mono, sample.sampleRate(), expectedHz);
    return exact == expectedHz ? heard : Pitch.of(exact, tuningHz, UNSURE);
  }

  /** The votes of the windows of the steady part. */
  private static PitchTrack.Summary votes(float[] audio, PitchDetector detector) {
    float[] mono =
        audio.length < detector.window() ? Arrays.copyOf(audio, detector.window()) : audio;
    double[] levels = new double[COARSE_WINDOWS];
    double loudest = 0;
    int[] starts = spread(mono.length, detector.window(), COARSE_WINDOWS);
    for (int i = 0; i < starts.length; i++) {
      levels[i] = rms(mono, starts[i], detector.window());
      loudest = Math.max(loudest, levels[i]);
    }
    PitchTrack track = new PitchTrack();
    for (int look = 0; look < 2; look++) {
      for (int i = 0; i < starts.length; i++) {
        boolean first = i % FIRST_LOOK == FIRST_LOOK / 2;
        if (first == (look == 0) && levels[i] > STEADY_SHARE * loudest) {
          track.add(starts[i] + detector.window() / 2, detector, detector.find(mono, starts[i]));
        }
      }
      if (track.size() >= LEAST_VOTERS && track.summary(0).share() >= UNANIMOUS) {
        break;
      }
    }
    return track.summary(0);
  }

  /**
   * What a high pitch has to be taken times: its period is few frames, and the detector, which
   * looks at whole frames, prefers two or three of them. A pitch that is really there has overtones
   * of its own.
   */
  private static int multiple(Partials partials, double frequency) {
    for (int m = 3; m >= 2; m--) {
      if (m * frequency > 1.03 * HarmonicSum.HIGHEST_HZ) {
        continue;
      }
      double own = 0;
      double shared = 0;
      for (int h = 1; h <= 4 * m; h++) {
        int k = partials.near(h * frequency, 0.02 * h * frequency);
        if (k >= 0) {
          if (h % m == 0) {
            shared += partials.power()[k];
          } else {
            own += partials.power()[k];
          }
        }
      }
      if (own < LEAST_ODD_POWER * shared) {
        return m;
      }
    }
    return 1;
  }

  /**
   * The median over the steady part of the exact frequency, each weighed by its level, in hertz.
   */
  private static double fine(float[] audio, int sampleRate, double expectedHz) {
    FinePitch fine = new FinePitch(sampleRate, expectedHz, audio.length);
    float[] mono = audio.length < fine.length() ? Arrays.copyOf(audio, fine.length()) : audio;
    // Overlapping by half, windows of a tapered stretch have seen everything; where that makes but
    // few, as in short low notes, closer ones still steady the median.
    int halves = 1 + 2 * (mono.length - fine.length()) / fine.length();
    int most = Math.min(FINE_WINDOWS, Math.max(FEW_WINDOWS, halves));
    int[] starts = spread(mono.length, fine.length(), most);
    double[] levels = new double[starts.length];
    double loudest = 0;
    for (int i = 0; i < starts.length; i++) {
      levels[i] = rms(mono, starts[i], fine.length());
      loudest = Math.max(loudest, levels[i]);
    }
    double[] found = new double[starts.length];
    double[] weights = new double[starts.length];
    int n = 0;
    for (int i = 0; i < starts.length; i++) {
      if (levels[i] > STEADY_SHARE * loudest) {
        double frequency = fine.measure(mono, starts[i]);
        if (!Double.isNaN(frequency)) {
          found[n] = frequency;
          weights[n++] = levels[i];
        }
      }
    }
    return n == 0 ? expectedHz : Medians.weighted(found, weights, n);
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
}
