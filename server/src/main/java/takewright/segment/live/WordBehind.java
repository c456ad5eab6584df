package takewright.segment.live;

import takewright.dsp.Decibels;
import takewright.pitch.PitchDetector;
import takewright.pitch.PitchTrack;

/**
 * Tells whether what follows a note closely is a word: it has pitches and holds none, as the next
 * note would.
 */
public final class WordBehind {
  /** A word over a note is no softer than this under it, in dB: the room stirs as well. */
  private static final double SOFTER_DB = 20;

  /**
   * Share of the votes within 25 cents of one pitch: of 275 notes that follow another without a
   * pause three have less in their first second, of 33 words that do so 28.
   */
  private static final double NO_NOTE_SHARE = 0.33;

  /**
   * Share of its windows that have a pitch, whichever it is: where fewer have one, nobody speaks.
   */
  private static final double VOICED = 0.35;

  /**
   * A word over a note begins no later than this after the note is last heard, in seconds: until
   * then its tail goes on under the room. Of 15 words close behind notes that were called good
   * eleven did; words and knocks after notes came 0.23 s and more behind them (60 takes,
   * 2026-11-30).
   */
  private static final double BEGINS_S = 0.17;

  /** It begins where the power within this, in seconds, */
  private static final double LOOK_S = 0.03;

  /** rises to this multiple of the room's: 9 dB. */
  private static final double OVER_ROOM = 8;

  /** How much of a word is listened to, in seconds: as much as is heard then. */
  private static final double BEHIND_S = 0.9;

  /** From one window of that to the next, in seconds. */
  private static final double STEP_S = 0.043;

  private final int sampleRate;
  private final PitchDetector detector;
  private final float[] window;

  public WordBehind(int sampleRate) {
    this.sampleRate = sampleRate;
    detector = new PitchDetector(sampleRate);
    window = new float[detector.window()];
  }

  /**
   * The frame at which a word begins; -1 where there is none.
   *
   * @param last what was heard
   * @param end frame up to which the note is heard
   * @param heard frame up to which there is sound to listen to
   * @param levelDbfs level of the note
   * @param room power of the room
   */
  public long begin(LastSeconds last, long end, long heard, double levelDbfs, double room) {
    double least = Decibels.toPower(levelDbfs - SOFTER_DB);
    long begin = sound(last, end, heard, Math.max(OVER_ROOM * room, least));
    if (begin < 0) {
      return -1;
    }
    PitchTrack behind = new PitchTrack();
    double most = 0;
    long step = (long) (STEP_S * sampleRate);
    long to = Math.min(heard, begin + (long) (BEHIND_S * sampleRate));
    long centre = begin + window.length / 4;
    for (; centre + window.length / 2 <= to; centre += step) {
      last.copy(centre - window.length / 2, window);
      behind.add(centre, detector, detector.find(window, 0));
      most = Math.max(most, detector.rms() * detector.rms());
    }
    PitchTrack.Summary pitch = behind.summary(room);
    boolean isWord = most > least && pitch.voiced() >= VOICED && pitch.held() < NO_NOTE_SHARE;
    return isWord ? begin : -1;
  }

  /** The frame from which on more is heard than the room, soon after a note; -1 where none is. */
  private long sound(LastSeconds last, long end, long heard, double loud) {
    float[] look = new float[(int) (LOOK_S * sampleRate)];
    long until = Math.min(heard - look.length, end + (long) (BEGINS_S * sampleRate));
    for (long from = end; from <= until; from += look.length / 3) {
      last.copy(from, look);
      double sum = 0;
      for (float x : look) {
        sum += (double) x * x;
      }
      if (sum / look.length > loud) {
        return from;
      }
    }
    return -1;
  }
}
