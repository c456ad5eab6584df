/**
 * The noise of a room: found in the pauses of a take, measured, and followed under the notes.
 *
 * <p>Findings (measured up to 2026-11-29, on the takes that {@link takewright.denoise} describes):
 *
 * <ul>
 *   <li><b>Pauses are found by how smooth a frame's spectrum is,</b> not by how quiet it is: a room
 *       may move by many dB, but only notes are rough. Tails are told band by band, since one
 *       partial of a double bass hardly shows in the whole spectrum; tails in the profile cost a
 *       double bass a share of 0.3.
 *   <li><b>A pause that is louder than the one before the note and the next one, with nothing but
 *       quiet up to that, is a long tail.</b> The breath and the noise that one note of a double
 *       bass ended in were smooth and steady enough for a room; the leap was then placed at the
 *       note's start, and 17 s of it lost 7 dB of SDR (share -8.7, now 0.78). In 133 other takes,
 *       half of them in moving rooms or with a fan that goes off, no pause is such.
 *   <li><b>A band that rings into a pause is a tail too,</b> if it is louder than before the note
 *       and at the end of the same quiet. The lowest partial of a double bass rang 25 dB above a
 *       room whose fan had gone off under the note, in 2 of 26 bands; the note lost 0.7 dB at 31
 *       Hz, now 0.1. Of 134 takes 7 have such a pause: shares of 0.84 to 1.00, 1.02 to 0.97 and
 *       else the same (29 November 2026), losses at 31 Hz 1.9 to 0.8 dB, 0.8 to 0.9 and 1.6 to 1.8.
 *   <li><b>The level of a room is a random walk between pauses, smoothed per band.</b> A leap of
 *       all bands together is kept apart, and the frames between the two pauses say when it
 *       happens: what sounds can only add to the room, so one band that is softer than the room was
 *       is proof. Eight takes in which a fan goes off gain a mean share of 0.74 (0.77 if the room
 *       is known at every moment), against 0.49 when the tenth of the bands that a note disturbs
 *       least had to say so frame by frame: a loud double bass disturbs all but one.
 *   <li><b>A leap is one of most bands,</b> so its size and what is usual are medians: tails of a
 *       low string in two bands hid 12 dB of the others, and the thresholds rose thirtyfold (share
 *       0.47, now 0.74; log-spectral distance 3.3 and 1.9 dB).
 *   <li><b>Soft values of few bins lie further off than normal ones.</b> One such frame under a
 *       note placed a leap 5 s early, and the pause before it passed whole (kurtosis ratio 20, now
 *       1.1).
 *   <li><b>What a frame has shown of a fall holds for those after it.</b> A note that hid the room
 *       began it anew before: of a saxophone in a room that had fallen by 4 dB before the note and
 *       fell on under it nothing was won in that note, and, since that was the median one, a share
 *       of 0.07 in the take; now 1.15. Two more takes go from 0.84 and 0.74 to 1.14 and 1.06. What
 *       is soft by chance is no fall: taken for one, it let the room through before a fan went off
 *       (kurtosis ratios of 9 and 6).
 *   <li><b>A leap changes the colour of what is left,</b> since a converter's own noise stays. So a
 *       long pause is compared with its own second half as well; else the pause after a leap passed
 *       for a tail and the leap was not found.
 *   <li><b>Within what the walk allows, the level is followed from frame to frame</b> by what lies
 *       between the partials. Believing up to 2, 1.5 or 1 standard deviations inside notes moves
 *       the share by 0.02 to 0.1 either way, depending on the take; 1.5 is the compromise.
 * </ul>
 *
 * <p>What is assumed: the colour of a room is constant within a third of an octave; its level
 * between pauses is a random walk or one leap, over within a second; a room is smooth over
 * frequency, so that music or voices next door are no room; and there is a pause at least every 20
 * s. Short notes near the room (100 ms, and an octave 10 to 15 dB above it) lose up to 2 dB in that
 * octave.
 */
package takewright.denoise.room;
