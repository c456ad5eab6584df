/**
 * Takes as a build reads them: cut into regions and matched, with the room tone of each microphone
 * and the levels of all regions, and watched so that none changes while it is built from.
 *
 * <p>Findings (measured up to 2026-11-28):
 *
 * <ul>
 *   <li><b>A take must keep its size and time while it is built from;</b> otherwise half of the
 *       samples could come from another recording.
 *   <li><b>Frames are counted through all files of a take, and from the beginning of a file of
 *       which the take is a part.</b> So a time in the index is the one that an editor shows, and
 *       nothing behind the cutting needs to know of parts.
 *   <li><b>How restless a note may be is the take's own habit</b> ({@code AperiodicParts}). In 24
 *       takes of recorded notes in recorded rooms that no limit was chosen on (542 attempts, 112 of
 *       them flawed), 85 flawed ones were told at once by fixed limits on what rises between the
 *       partials; held against the notes before in how loud what is not periodic is, 93 are, and
 *       one clean note less is doubted. In 46 further takes the figures stay within 3 of 912. What
 *       is known from elsewhere counts as three notes, or each first restless note is doubted.
 *   <li><b>Not every note shows how long notes are:</b> not what is odd itself (a knock that passes
 *       for a note), not what the next note ends, and not a single note behind which something went
 *       on. Of 97 attempts that were broken off in 108 takes 78 were told at once and 83 are; of
 *       1,961 clean notes 6 were doubted for their length and 1 is.
 *   <li><b>A take is played ringing where a sixth of its notes are still heard when the next one
 *       begins,</b> also those that have sunk too far to be flagged: of 35 vibraphone notes that
 *       were played so seven rang on or began in a tail. Words, knocks and wrong beginnings do not
 *       count: they ring into the next sound in any take. By these flags alone six clean notes more
 *       of 3,192 were flagged, all in takes that were played so (154 takes, 2026-12-01).
 *   <li><b>A pick-up is raised as a whole before its notes are levelled one by one</b> ({@code
 *       takewright.level.Lift}): one that was 20 dB softer joined a library within 0.9 dB, where
 *       {@code max_db} alone would have left it 14 dB below.
 *   <li><b>A room that moves all the time is said of its take, not of its notes.</b> The doubt
 *       about it comes from the whole take, so it is much the same under each note: in five takes
 *       in moving rooms 3 to 6 dB, and 86 of 89 good notes were flagged; now none is.
 * </ul>
 */
package takewright.library.take;
