/**
 * A short-time spectrum in bands and parts, the statistics of noise in it, and where in it
 * something sounds that is not the room.
 *
 * <p>Findings (measured up to 2026-11-27, on the takes that {@link takewright.denoise} describes):
 *
 * <ul>
 *   <li><b>The lowest and the highest bin are real,</b> so their noise is estimated as such.
 *       Treated as complex bins their noise was 20 % too low and room tone thumped below 94 Hz.
 *   <li><b>A detection reaches one frame each way.</b> Two frames left ragged ends behind short
 *       notes (kurtosis ratio 1.06 to 1.10 instead of 1.00).
 *   <li><b>Frames of 8192 samples.</b> 4096 gains 0.15 on hits and loses 0.1 to 0.15 on sustained
 *       notes; 16384 does the opposite. Even the better of five lengths, chosen every 46 ms and 1.5
 *       kHz with the clean sound in hand, reaches 0.62 to 0.63 on short notes at -62 dBFS.
 *   <li><b>A third of a window between frames</b> instead of a quarter costs 0.003 of the share and
 *       saves a quarter of the transforms.
 *   <li><b>Thresholds are raised by what the take's own pauses show,</b> per band and per kind of
 *       average. With thresholds for Gaussian noise the floor fell by 0.5 to 8 dB in recorded rooms
 *       (air conditioning, a machine next door, a train); now by 22 to 24 dB in all of 100 takes.
 *   <li><b>Faint sounds need a note beside them:</b> a find counts only if a note is plain to see
 *       before the spectrum is quiet again, or within half a second, and plain means for two frames
 *       or ten times as high. One frame was enough before: then the loudest clatters beside a
 *       dishwasher and in a train passed, with kurtosis ratios of 1.4 to 9 in 9 of 20 takes in
 *       moving rooms. In the pauses of 48 takes 34 sounds were found, none of which stood more than
 *       104 times above the noise in any bin; of 426 notes none stood less than 70,000 times above
 *       it, but for two ends of notes.
 * </ul>
 */
package takewright.denoise.band;
