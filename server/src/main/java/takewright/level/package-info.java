/**
 * Matches the levels of the samples of one articulation: round robins alike, the keyboard even, the
 * dynamics as far apart as they were played.
 *
 * <p>Findings (2026-11-25, takes of violin, saxophone and double bass with 4 dB of random spread):
 *
 * <ul>
 *   <li><b>Gains are computed from the regions in the takes,</b> less the power of the room. Gains
 *       computed from finished samples would need each file written twice, or kept until all of its
 *       articulation are there. FFmpeg's meter finds round robins that came up to 3.8 LU apart
 *       within 0.1 LU of each other in the files (0.4 LU where {@code max_db} held one back).
 *   <li><b>One curve over the keyboard for all dynamics, and a distance for each.</b> A curve for
 *       each dynamic, fitted to few notes, moves dynamics together or apart by chance. With the
 *       common curve the means stay within 0.6 LU, and notes that were played 5.9 to 10.9 LU apart
 *       come out 8.4 to 8.5 LU apart.
 * </ul>
 */
package takewright.level;
