package takewright.pitch;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** What is heard of the pitch of a sound from window to window. */
class PitchTrackTest {
  private static final int RATE = 48_000;

  /** Until here another note sounds, in frames. */
  private static final int OTHER = RATE / 2;

  private static PitchTrack track() {
    return track(311);
  }

  /**
   * @param firstHz of the other note
   */
  private static PitchTrack track(double firstHz) {
    float[] audio = new float[2 * RATE];
    double phase = 0;
    for (int i = 0; i < audio.length; i++) {
      phase += 2 * Math.PI * (i < OTHER ? firstHz : 220) / RATE;
      audio[i] = (float) (0.1 * Math.sin(phase) + 0.05 * Math.sin(2 * phase));
    }
    PitchTrack track = new PitchTrack();
    PitchDetector detector = new PitchDetector(RATE);
    for (int at = 0; at + detector.window() <= audio.length; at += 1000) {
      float[] window = Arrays.copyOfRange(audio, at, at + detector.window());
      track.add(at + detector.window() / 2, detector, detector.find(window, 0));
    }
    return track;
  }

  /** What the room does before a note does not make it late. */
  @Test
  void aSoundIsLateFromItsOnsetOn() {
    PitchTrack track = track();
    double slack = 0.05 * RATE;
    double first = OTHER - new PitchDetector(RATE).window() / 2;
    assertEquals(first, track.lateStart(220, 0), slack);
    assertEquals(0.2 * RATE, track.lateStart(220, (long) (0.3 * RATE)), slack);
    assertEquals(0, track.lateStart(220, 2 * RATE));
    assertEquals(0, track.lateStart(311, 0));
  }

  /** A chair that rings beside the note just before it is none of it. */
  @Test
  void aSoundBeginsOnAnotherNoteFromItsOnsetOn() {
    double slack = 0.05 * RATE;
    double held = OTHER - new PitchDetector(RATE).window() / 2;
    assertEquals(held, track(233).otherStart(220, 0), slack);
    assertEquals(0, track(233).otherStart(220, OTHER));
    assertEquals(0, track(311).otherStart(220, 0), "further than a whole tone");
  }

  @Test
  void aSoundThatNeverHoldsItsPitchIsNotLate() {
    assertEquals(0, track().lateStart(261, 0));
    assertEquals(0, new PitchTrack().lateStart(220, 0));
  }

  /** What is heard last, up to a frame; nothing where it changes, or where nothing was heard. */
  @Test
  void thePitchThatIsHeldLast() {
    PitchTrack track = track();
    long window = new PitchDetector(RATE).window();
    assertEquals(311, track.heldBefore(OTHER - window / 2), 1);
    assertEquals(0, track.heldBefore(OTHER + 1500));
    assertEquals(220, track.heldBefore(Long.MAX_VALUE), 1);
    assertEquals(0, track.heldBefore(window / 2));
    assertEquals(0, track.heldBefore(window / 2 + 2000), "two windows hold nothing");
    assertEquals(0, new PitchTrack().heldBefore(Long.MAX_VALUE));
  }
}
