package takewright.segment.live;

import takewright.dsp.Decibels;
import takewright.pitch.PitchDetector;
import takewright.pitch.PitchTrack;

/**
 * Tells whether what follows a note without a pause is a word: it has pitches and holds none, as
 * the next note would.
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

  /** How far behind a note is listened for what follows it, in seconds: as far as is heard then. */
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
   * Whether there is a word.
   *
   * @param last what was heard
   * @param end frame at which the note ends
   * @param heard frame up to which there is sound to listen to
   * @param levelDbfs level of the note
   * @param room power of the room
   */
  public boolean isThere(LastSeconds last, long end, long heard, double levelDbfs, double room) {
    PitchTrack behind = new PitchTrack();
    double most = 0;
    long step = (long) (STEP_S * sampleRate);
    long to = Math.min(heard, end + (long) (BEHIND_S * sampleRate));
    long centre = end + window.length / 4;
    for (; centre + window.length / 2 <= to; centre += step) {
      last.copy(centre - window.length / 2, window);
      behind.add(centre, detector, detector.find(window, 0));
      most = Math.max(most, detector.rms() * detector.rms());
    }
    PitchTrack.Summary pitch = behind.summary(room);
    return most > Decibels.toPower(levelDbfs - SOFTER_DB)
        && pitch.voiced() >= VOICED
        && pitch.held() < NO_NOTE_SHARE;
  }
}
