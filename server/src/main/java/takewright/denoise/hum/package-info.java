/**
 * Finds mains hum in room tone and subtracts it from a take.
 *
 * <p>Findings (measured up to 2026-11-27, on the takes that {@link takewright.denoise} describes):
 *
 * <ul>
 *   <li><b>Hum is followed line by line over seconds and subtracted;</b> frames in which a partial
 *       holds the line are left out. With hum of -50 dBFS in a room of -62 dBFS this gains 13 to 15
 *       dB inside notes, where the gain estimator alone gains 1 to 12; long bass notes on the lines
 *       gain 8. A line must be steady over four fifths of the room tone and must not die away
 *       within a second, else ringing bass notes and tails between digital silence pass for hum.
 *   <li><b>A line counts as hum only if four fifths of its power keep their phase for a second.</b>
 *       The tone of a fan was taken for hum before: it was taken out of the profile, but cannot be
 *       subtracted, and so it passed for sound everywhere (the floor fell by 4 to 6 dB, now 24).
 * </ul>
 */
package takewright.denoise.hum;
