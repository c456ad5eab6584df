/**
 * Loops by which sustained notes are held, and how long notes take to die away.
 *
 * <p>Decisions, with what was measured on the 60 recordings of violin, contrabass and saxophone
 * (November 2026):
 *
 * <ul>
 *   <li>Pairs of moments are ranked by the phase of their partials around them, every 2.5 ms,
 *       rather than by pitch every 20 ms: a vibrato that is 10 ms out of step turns the waveform of
 *       a high note round. Violins with a loop: 4 of 15 before.
 *   <li>What is heard at a seam is held against what the note does by itself: steps of level and
 *       timbre against its own from one tenth of a second to the next, dips in the fade against its
 *       own dips, bow changes against the dips of its vibrato. With bounds for still notes, notes
 *       with a strong vibrato had 10 to 130 places for a loop in 12 s and seldom a good one: 9 good
 *       and 5 fair of 15 violins, 11 and 3 since.
 *   <li>Where none is good at first, there is a second look: the eight best ends of each start, as
 *       the best by phase and timbre is not always the best by the waveform and the mean pitch, and
 *       also moments beside what dips like a change of bow, as strong vibratos do 50 times in 11 s.
 *       That made 14 of 15 violins good and the last one fair, and 10 of 16 notes that were fair or
 *       had none in six takes of a violin in rooms; what is left is A6. Sixty ends gave no more.
 *   <li>A loop's swing of level and timbre at its own rate, its fade and all, is in the cost, 1
 *       where it passes the note's own by 1 dB; a loop that passes it by about 3 dB is not good.
 *       Choice alone left 5 of the 60 recordings, held for 10 s, above 1 dB by level and 2 by
 *       centroid: the bar is the median of the note's own stretches of the loop's length, which
 *       spread so widely that many a stretch as it was played passes it. So what is left is taken
 *       out by a gain and a tilt as slow as the loop ({@link takewright.loop.CrossFade}): no
 *       recording passes it now, by level or by centroid.
 *   <li>Level and brightness of a round are measured half a window (20 ms) apart. At 128 places
 *       however short the loop is, the cross-fade took a sixth longer. What is left of the swing at
 *       the loop's rate, in 54 notes of the three instruments: level 0.008 dB in the median and
 *       0.15 at most, before 0.005 and 0.10; brightness 0.16 and 0.44 dB, before 0.15 and 0.47.
 *   <li>Left aside: working a start's pairs out only once no other can cost less. What a pair costs
 *       at least says so little of what it costs that nearly all are worked out all the same.
 *   <li>The level and timbre before a seam are compared with those before the loop's start, not
 *       against those behind the seam, between which a vibrato swings by itself.
 *   <li>The cross-fade goes back into the recording behind the loop. Without that, 11 of 49 files
 *       had a burst above 6 kHz at the loop's end of more than 3 dB over their own 95th percentile;
 *       with it and with ends that keep clear of ticks, none of 59.
 *   <li>Gains go by the correlation in each of four bands. One gain for all of the spectrum follows
 *       the partials, and lets the hiss dip by 3 dB in the middle of the fade.
 *   <li>Left aside: bending the incoming sound in time so that its phase follows the outgoing one.
 *       It would help the fair loops (violin above A5), but the bend would have to be kept for the
 *       other microphones of a note.
 *   <li>What follows a loop is moved to the level at which the loop is left ({@link
 *       takewright.loop.CrossFade}). Without that, the level moved from the last to the next two
 *       tenths of a second by up to 3.6 dB in 104 built samples of violin and saxophone, by less
 *       than 1.9 dB in 95 of 100; with it, by 2.4 and 1.4 dB. Vibratos do as much by themselves.
 *       Left aside: taking the level from before the seam alone, which the slope of a swell leads
 *       astray.
 *   <li>Built from takes with two dynamics and two microphones, living and even room noise (176
 *       samples of 2 s and more, measured from the files' smpl chunks): all have a good loop. Held
 *       for 10 s, the mean pitch moves by 0.4 cents at 95 %, 0.7 at most; level by 0.25 dB and
 *       centroid by 0.9 % at most; no line at the loop's rate lies above the note's by more than 1
 *       dB. Above 6 kHz the file is at most 1 dB over the note's 95th percentile around the loop's
 *       end, but for one distant contrabass whose own bow noise comes 3.1 dB over.
 *   <li>A note that dies away gets a good loop or none. Of 108 guitar notes in six takes in rooms
 *       24 had a fair loop, whose level steps back up each time round; now one has.
 *   <li>A vibrato keeps its rate within 5 %. Four of the 60 seemed not to: they have none. At the
 *       strongest rate of a wandering pitch there is less than half of its swings, and in a vibrato
 *       more than two thirds.
 * </ul>
 */
package takewright.loop;
