package takewright.segment.live;

import takewright.dsp.Decibels;
import takewright.dsp.LinearPrediction;
import takewright.dsp.Windows;
import takewright.segment.flaw.PredictionError;

/**
 * Blows that a room has by itself in the pauses before a note: rain on a window, a clock, a boat at
 * its ropes. One over the note that is no louder is the room's as well.
 *
 * <p>As over a note ({@code takewright.segment.flaw.Knocks}) the error of a linear prediction is
 * heard, in the pauses that of the prediction of the note around its blow: the same blow leaves the
 * same error there.
 */
public final class RoomBlows {
  /** Samples a second that are listened to, about: blows on wood are strongest below 4 kHz. */
  private static final int RATE = 8000;

  private static final int ORDER = 40;

  /** Samples around the blow of which the prediction is made (80 ms). */
  private static final int MODEL = 640;

  /** A blow stands out of the error beside it by so much, in dB, as over a note. */
  private static final double OVER_DB = 8;

  /**
   * Blows of a room differ: one that is softer than that over the note by so much counts, in dB.
   */
  private static final double SOFTER_DB = 6;

  /** So much of a pause on either side may belong to the sounds around it, in seconds. */
  private static final double MARGIN_S = 0.1;

  /** So much of the pauses is listened to, in seconds. */
  private static final double LISTEN_S = 10;

  private final int sampleRate;
  private final int every;
  private final float[] shape = Windows.hann(MODEL);

  /** What was found last, of the blow at that frame over the note that begins at the other. */
  private PauseBlows found;

  private long blowOfFound = -1;
  private long startOfFound = -1;

  public RoomBlows(int sampleRate) {
    this.sampleRate = sampleRate;
    every = Math.max(1, Math.round((float) sampleRate / RATE));
  }

  /**
   * Blows that are hardly softer than the one over a note, or louder.
   *
   * @param count how many the pauses before the note have
   * @param seconds length of these pauses
   */
  public record PauseBlows(int count, double seconds) {
    /** From this number on they are the room's; a single one may be a chair. */
    private static final int MANY = 2;

    /** With this number of blows a second or more, most notes have one over them. */
    private static final double OFTEN = 0.5;

    /** A clock or rain would have been heard in pauses of this length, in seconds. */
    private static final double LONG_S = 2.5;

    /** Whether the room has such blows all the time. */
    public boolean areUsual() {
      return count >= MANY && count >= OFTEN * seconds;
    }

    /** Whether the room was heard for long, and has none. */
    public boolean areNone() {
      return count == 0 && seconds >= LONG_S;
    }
  }

  /**
   * Listens to the pauses before a note for blows like one over it.
   *
   * @param last what was heard
   * @param blow frame of the blow over the note
   * @param start first frame of the note
   * @param kept first frame that is kept
   * @param sounds first frame and frame behind each sound so far, in the order of the take
   */
  public PauseBlows before(LastSeconds last, long blow, long start, long kept, long[][] sounds) {
    if (blow != blowOfFound || start != startOfFound) {
      long around = (long) MODEL / 2 * every;
      float[] audio = slow(last.copy(blow - around, blow + around));
      double[] prediction = prediction(audio);
      PredictionError error = error(audio, prediction);
      double power = 0;
      int middle = MODEL / 2 / PredictionError.STEP;
      for (int i = middle - PredictionError.GUARD; i <= middle + PredictionError.GUARD; i++) {
        power = Math.max(power, error.power(i));
      }
      double least = power * Decibels.toPower(-SOFTER_DB);
      found = find(last, prediction, least, start, kept, sounds);
      blowOfFound = blow;
      startOfFound = start;
    }
    return found;
  }

  private PauseBlows find(
      LastSeconds last, double[] prediction, double least, long start, long kept, long[][] sounds) {
    long margin = (long) (MARGIN_S * sampleRate);
    long most = (long) (LISTEN_S * sampleRate);
    int count = 0;
    long heard = 0;
    long to = start;
    for (int i = sounds.length - 1; i >= -1 && to > kept && heard < most; i--) {
      long end = i < 0 ? 0 : sounds[i][1];
      long from = Math.max(Math.max(kept, end) + margin, to - margin - (most - heard));
      if (from < to - margin) {
        count += count(error(slow(last.copy(from, to - margin)), prediction), least);
        heard += to - margin - from;
      }
      to = i < 0 ? to : Math.min(to, sounds[i][0]);
    }
    return new PauseBlows(count, (double) heard / sampleRate);
  }

  private static int count(PredictionError error, double least) {
    double over = Decibels.toPower(OVER_DB);
    int blows = 0;
    for (int i = PredictionError.REACH; i < error.end(); i++) {
      if (error.power(i) >= least && error.isHighest(i)) {
        blows += error.power(i) > over * error.usual(i) ? 1 : 0;
      }
    }
    return blows;
  }

  /** The sound at the rate that is listened to. */
  private float[] slow(float[] sound) {
    float[] audio = new float[sound.length / every];
    for (int i = 0; i < audio.length; i++) {
      for (int k = i * every; k < (i + 1) * every; k++) {
        audio[i] += sound[k] / every;
      }
    }
    return audio;
  }

  private double[] prediction(float[] audio) {
    float[] model = new float[MODEL];
    for (int i = 0; i < MODEL; i++) {
      model[i] = audio[i] * shape[i];
    }
    return LinearPrediction.whitening(model, 0, MODEL, ORDER);
  }

  private static PredictionError error(float[] audio, double[] prediction) {
    float[] error = new float[audio.length];
    for (int i = ORDER; i < audio.length; i++) {
      double sum = 0;
      for (int k = 0; k <= ORDER; k++) {
        sum += prediction[k] * audio[i - k];
      }
      error[i] = (float) sum;
    }
    return new PredictionError(error);
  }
}
