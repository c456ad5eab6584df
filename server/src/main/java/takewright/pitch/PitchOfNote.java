package takewright.pitch;

import java.util.Arrays;
import takewright.audio.Clip;

/**
 * The one pitch of a whole sample, 16 Hz to 8 kHz (at most a quarter of the sample rate): first its
 * octave, by the votes of windows, then its cents, by the exact frequency of the steady part.
 *
 * <p>Measured on 60 recordings of violin, double bass and saxophone, moved by up to three octaves
 * over this range (767 cases) and with room tone 40, 20 and 10 dB below the note, the votes named
 * every note; on a sample of these the sum of harmonics missed one in fifteen, TarsosDSP's YIN one
 * in forty and its MPM gave no answer to one in seven. So the votes decide, and {@link HarmonicSum}
 * is kept for several notes at once.
 */
public final class PitchOfNote {
  /** Votes that must agree for a pitch: in noise and in hits not a third do. */
  private static final double LEAST_SHARE = 0.42;

  /** Windows for the octave: more do not change the vote. */
  private static final int COARSE_WINDOWS = 40;

  /** Those for high pitches are a fifth as long. */
  private static final int HIGH_WINDOWS = 64;

  /** Every so manieth of them is looked at first. */
  private static final int FIRST_LOOK = 4;

  /** Where so many of their votes agree, the others would only say the same. */
  private static final double UNANIMOUS = 0.9;

  /** Windows that must agree for that. */
  private static final int LEAST_VOTERS = 6;

  /** Windows this far below the loudest (20 dB) belong to the attack or the tail. */
  public static final double STEADY_SHARE = 0.1;

  /** Pitches below twice the usual lowest may be overtones of a lower one, */
  private static final double LOW_HZ = 2 * PitchDetector.LOWEST_HZ;

  /** and those below three times as well, where the votes are not of one mind. */
  private static final double UNSURELY_LOW_HZ = 3 * PitchDetector.LOWEST_HZ;

  /** From here on pitches are looked at in {@link DenseWindows}. */
  private static final double HIGH_HZ = 600;

  /** A quarter tone above the highest. */
  private static final double HIGHEST_HZ = 1.03 * HarmonicSum.HIGHEST_HZ;

  /** So many frames of the shortest period tell it from two of them. */
  private static final double FRAMES_A_PERIOD = 20;

  /** A note this near to the one expected, in cents, is that one. */
  private static final double NEAR_CENTS = 100;

  /** With this confidence another note than the one expected is believed. */
  private static final double PLAIN = 0.7;

  /** Confidence in a pitch that was measured only where it was expected. */
  private static final double UNSURE = 0.3;

  private PitchOfNote() {}

  /** The pitch of the steady part, or null where no one note is heard. */
  public static Pitch of(Clip sample, double tuningHz) {
    return of(sample, 0, tuningHz);
  }

  /**
   * The same; where the usual windows hear a note that is expected, no others are asked.
   *
   * @param expectedHz its frequency in hertz; 0 for none
   */
  private static Pitch of(Clip sample, double expectedHz, double tuningHz) {
    float[] mono = sample.mono();
    int rate = sample.sampleRate();
    PitchTrack.Summary usual = votes(mono, new PitchDetector(rate));
    double frequency = usual.share() < LEAST_SHARE ? 0 : usual.frequencyHz();
    double share = usual.share();
    boolean asExpected = frequency > 0 && Math.abs(cents(frequency, expectedHz)) <= NEAR_CENTS;
    // A longer window costs speed and blurs short notes: it is taken only where it may be needed.
    boolean isLow = frequency < LOW_HZ || frequency < UNSURELY_LOW_HZ && share < UNANIMOUS;
    if (isLow && !asExpected) {
      PitchDetector wide = new PitchDetector(rate, HarmonicSum.LOWEST_HZ, PitchDetector.HIGHEST_HZ);
      PitchTrack.Summary low = votes(mono, wide);
      if (low.share() >= LEAST_SHARE && low.frequencyHz() < PitchDetector.LOWEST_HZ) {
        frequency = low.frequencyHz();
        share = low.share();
      }
    }
    if (frequency == 0 || frequency > HIGH_HZ && !asExpected) {
      PitchTrack.Summary high = highVotes(mono, rate);
      if (high.share() >= LEAST_SHARE && high.frequencyHz() > HIGH_HZ) {
        frequency = high.frequencyHz();
        share = high.share();
      }
    }
    if (frequency == 0) {
      return null;
    }
    return NoteFrequency.of(mono, rate, frequency).pitch(tuningHz, Confidence.of(share));
  }

  /**
   * The pitch of a sample whose note is known. Short low notes hardly get to repeat before they are
   * over, and no vote can find them: unless another note is plainly heard, it is measured at the
   * one expected.
   *
   * @param expectedHz the note's frequency in hertz
   */
  public static Pitch expecting(Clip sample, double expectedHz, double tuningHz) {
    Pitch heard = of(sample, expectedHz, tuningHz);
    double off = heard == null ? 0 : cents(heard.frequencyHz(), expectedHz);
    boolean atIt = heard != null && Math.abs(off) <= NEAR_CENTS;
    boolean octave = Math.abs(off - 1200 * Math.round(off / 1200)) <= NEAR_CENTS;
    if (atIt || heard != null && !octave && heard.confidence() >= PLAIN) {
      return heard;
    }
    float[] mono = sample.mono();
    NoteFrequency exact = NoteFrequency.of(mono, sample.sampleRate(), expectedHz);
    return exact.isHeard() ? exact.pitch(tuningHz, UNSURE) : heard;
  }

  /** How far one frequency lies above another, in cents. */
  private static double cents(double hz, double than) {
    return 1200 * Math.log(hz / than) / Math.log(2);
  }

  /** The votes of the windows of the steady part. */
  private static PitchTrack.Summary votes(float[] audio, PitchDetector detector) {
    return votes(audio, detector, detector.window(), COARSE_WINDOWS, detector::find);
  }

  private static PitchTrack.Summary highVotes(float[] audio, int sampleRate) {
    DenseWindows high =
        new DenseWindows(sampleRate, HIGH_HZ / 2, HIGHEST_HZ, FRAMES_A_PERIOD * HIGHEST_HZ);
    return votes(audio, high.detector(), high.window(), HIGH_WINDOWS, high::find);
  }

  /** Has a detector look at a window; answers the number of candidates. */
  private interface Look {
    int find(float[] audio, int at);
  }

  private static PitchTrack.Summary votes(
      float[] audio, PitchDetector detector, int window, int most, Look look) {
    float[] mono = audio.length < window ? Arrays.copyOf(audio, window) : audio;
    int[] starts = WindowGrid.starts(mono.length, window, most);
    double[] levels = WindowGrid.levels(mono, starts, window);
    double loudest = Arrays.stream(levels).max().orElse(0);
    PitchTrack track = new PitchTrack();
    for (boolean first : new boolean[] {true, false}) {
      for (int i = 0; i < starts.length; i++) {
        boolean ofFirst = i % FIRST_LOOK == FIRST_LOOK / 2;
        if (ofFirst == first && levels[i] > STEADY_SHARE * loudest) {
          track.add(starts[i] + window / 2, detector, look.find(mono, starts[i]));
        }
      }
      if (track.size() >= LEAST_VOTERS && track.summary(0).share() >= UNANIMOUS) {
        break;
      }
    }
    return track.summary(0);
  }
}
