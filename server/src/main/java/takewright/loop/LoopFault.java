package takewright.loop;

import java.util.Locale;

/** What a loop falls short in, or why a note has none. */
public enum LoopFault {
  /** The steady part of the note is too short for a loop. */
  SHORT,
  /** The level rises or falls all the time. */
  UNSTEADY,
  /** There is a change of bow or a breath everywhere. */
  CHANGE,
  /** The waveforms on both sides of the seam differ, so that they beat in the cross-fade. */
  WAVEFORM,
  /** The level steps at the seam. */
  LEVEL,
  /** The timbre steps at the seam. */
  TIMBRE,
  /** The loop holds another pitch than the note. */
  PITCH,
  /** The level or the timbre swings each time the loop comes round, more than the note's own do. */
  PULSE;

  /** The word in tables and messages. */
  public String word() {
    return name().toLowerCase(Locale.ROOT);
  }
}
