/**
 * What a stage of the cleaning is, and two stages: rumble and single clicks.
 *
 * <p>Findings (measured up to 2026-11-27, on the takes that {@link takewright.denoise} describes):
 *
 * <ul>
 *   <li><b>A click must stand alone for 80 ms each way.</b> The prediction error alone finds every
 *       bow stroke. None is found in 62 recordings and 34 takes without clicks; a faint click
 *       inside a bright note stays. Repairs with a model of order 256 are 29 to 44 dB below the
 *       note; order 32, which spans less than a period, left 8 to 44 dB.
 *   <li><b>Behind its end the audio goes on backwards for the rumble filter.</b> Any constant is a
 *       step where the rumble is not at it, and the last 20 ms lay 10 dB above the room's floor.
 * </ul>
 */
package takewright.denoise.stage;
