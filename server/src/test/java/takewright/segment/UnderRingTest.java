package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;
import takewright.pitch.PitchTrack;

/** Which of two pitches is the new note's, by equal temperament at 440 Hz. */
class UnderRingTest {
  private static double hz(int midi) {
    return 440 * Math.pow(2, (midi - 69) / 12.0);
  }

  /** What windows agree on, each to the same share. */
  private static PitchTrack.Summary agree(int midi, double share, double related) {
    return new PitchTrack.Summary(hz(midi), share, related, 1, hz(midi), related, 9);
  }

  private static boolean isNote(
      int ringing, PitchTrack.Summary together, PitchTrack.Summary beside) {
    return new UnderRing(hz(ringing)).isNote(together, beside);
  }

  @Test
  void whatAgreesBetterIsTheNote() {
    assertTrue(isNote(57, agree(63, 0.5, 0.5), agree(63, 0.9, 0.9)));
    assertFalse(isNote(57, agree(63, 0.9, 0.9), agree(63, 0.5, 0.5)));
  }

  @Test
  void anotherNoteIsSureThoughWhatRingsAgreesBetter() {
    assertTrue(isNote(57, agree(57, 0.95, 0.95), agree(63, 0.75, 0.75)));
    assertFalse(isNote(57, agree(57, 0.95, 0.95), agree(63, 0.55, 0.55)));
    // The same string struck again leaves an octave of itself.
    assertFalse(isNote(57, agree(57, 0.95, 0.95), agree(69, 0.75, 0.75)));
    // Beside what rings and another note, a third is but what the comb leaves of them.
    assertFalse(isNote(57, agree(60, 0.95, 0.95), agree(63, 0.75, 0.75)));
  }

  /** Of B3 and E4 the period that both have in common is that of E2. */
  @Test
  void aCommonPeriodGivesWayThoughTheNoteIsHeardInSeveralOctaves() {
    assertTrue(isNote(59, agree(40, 0.51, 0.76), agree(64, 0.39, 0.52)));
    assertFalse(isNote(59, agree(40, 0.51, 0.76), agree(64, 0.39, 0.4)));
    assertFalse(isNote(59, agree(41, 0.51, 0.76), agree(64, 0.39, 0.52)));
  }

  @Test
  void anEarlierNoteRingsOnWhereTheLastHasStopped() {
    assertEquals(hz(57), UnderRing.heardLast(hz(63), hz(57)));
    assertEquals(hz(63), UnderRing.heardLast(hz(63), 0));
    assertEquals(hz(63), UnderRing.heardLast(hz(63), hz(51)), "an octave is the same, misheard");
    // An A4 that rings with a B4 has the period of an A1, of which it is the eighth partial.
    assertEquals(hz(69), UnderRing.heardLast(hz(69), hz(33)));
  }
}
