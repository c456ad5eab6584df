/**
 * The room of a take: its power in bands, how far it strays by itself, and the thresholds that
 * follow from both at each moment.
 *
 * <p>Findings:
 *
 * <ul>
 *   <li><b>The room is learnt with its spread</b>, band by band, over 43 ms and over 0.13 s, from
 *       the take's own quiet slabs on either side of a moment (2026-11-27). A threshold lies as far
 *       over the level as a false start once in ten minutes asks for, read from the 90th percentile
 *       and, where the room knocks, from a higher one; the greater level of both sides counts, so
 *       that a fan that goes off is no note. Slabs in which partials stand out, that ring in a few
 *       bands, that lie above what the slabs below the middle show, or that lie in a region are no
 *       room. With a fixed 9 and 3 dB over the median, regions in recorded rooms began up to 2.7 s
 *       early; over 30 takes (air conditioning, dishwasher, train, wandering noise) recall went
 *       from .84 to .98 and the onset's 95th percentile from 150 to 2000 ms to less than 20 ms on
 *       27 of them. A threshold by percentiles of the whole take was worse: where notes are long it
 *       is the notes' level.
 *   <li><b>A sound comes 8 dB over what starts it, at some moment.</b> A machine's clinks, once in
 *       many seconds, are in none of the quiet slabs, so no spread foretells them; they start
 *       regions and come no further. In 160 minutes of rooms without a note (four rooms, pieces of
 *       recordings in random order) two regions are found, where up to ten a minute were beside a
 *       train. In 156 takes every note comes over it by 11 dB and more; three good samples fewer
 *       are flagged, and nothing else changes (2026-12-01). To count such regions as room from then
 *       on cut two tails more; with 6 dB, nine were left in 20 minutes of a train.
 *   <li><b>Notes that ring into each other for longer than the room is looked for are no room</b>
 *       (2026-11-28). Beside the room on the other side they rise in a few bands alone, and stray
 *       more; a change of the room lifts all bands within 10 dB. What the open region held so far
 *       is none either. Of three takes of a guitar ringing on, 8 tails of low notes were cut by 1
 *       to 3 s, and one onset lay 2.6 s late; now none, and no take of 56 lost a note by it. How
 *       far partials stand out is compared with the least of both sides, for the same reason.
 *   <li><b>How far a band of the room may rise is read from its lowest slabs alone</b>
 *       (2026-11-28). By the median of all, the last seconds of a low string or a slow pure tone,
 *       which lift one or two bands and fill most slabs of a take with short pauses, were learnt as
 *       the room, and the tone was cut by up to 5 s. Partials that stand out do not show them:
 *       below 250 Hz there are too few bins.
 *   <li><b>A slab that rises over the other side's loudest may be the end of a sound or a rail
 *       joint.</b> It counts for starting and for staying, so that no joint starts a note, but a
 *       sound that only falls is followed as if it were none. With the same threshold for both,
 *       either tails of low notes were cut by up to 3 s or regions held on to a train up to the
 *       next note (2026-11-28, 64 takes: 20 tails cut before, 9 now). Where slabs rise 11 dB
 *       further than the other side's they are left out altogether; in an hour of rooms they did by
 *       7.3 dB at most. Left: beside a fan that goes off, such tails are still cut by up to 1.3 s.
 *   <li><b>What falls in every pause is no room.</b> A double bass dies away for longer than its
 *       pauses last, and its tails were learnt as the room: of a band that falls in them the ends
 *       of the pauses tell how far a falling sound is followed ({@code FallingBands}). To use them
 *       for the other thresholds as well mended one tail more of 127 takes, and made three good
 *       notes doubtful; it was left out.
 *   <li><b>A band that falls on the side on which it is louder takes the other side's level,</b>
 *       for what is switched on does not fall. One partial that rings before the next note is told
 *       by no number of bands: of strings with a T60 of 12 to 28 s it was learnt as the room and
 *       the notes were cut 1 to 1.5 s after their onset, at -40 dBFS; they are followed up to their
 *       ends now (2026-11-29). Left: beside less than a second of the other side a rumble that
 *       comes and goes may start a region before the first note, which is rejected; to ask for a
 *       second of it cost one of 127 takes 1.3 s of a low note's tail.
 *   <li><b>Notes that fill the time ahead are no room</b> (2026-12-01). Of notes of 9 to 35 s with
 *       pauses under a second no pause within 20 s shows the room for half a second, so that the
 *       notes were taken for a fan that goes on and cut after some seconds. What comes louder by
 *       more than a train does and holds a pitch in half of its slabs does not count. Of 24 notes
 *       of 32 to 35 s in four rooms, spliced of recorded ones, on which this was chosen, 16 were
 *       kept and 24 are. In 80 takes of shorter ones as many tails are cut (8), one that was cut by
 *       2.1 s no more; in 30 that nobody had looked into 5 instead of 9, and two notes more are
 *       split. To pass over whatever comes louder than before made ends late beside a train.
 *   <li><b>While a take is recorded, notes are no room where what lies between them is softer</b>
 *       (2026-11-30). No other side shows them to be sounds, and strings that ring into each other,
 *       with words in their pauses, were learnt as the room: in one of 32 takes it rose from -62 to
 *       -43 dBFS, and from then on notes were cut short and named by the room's hum, since what
 *       lies under the room has no say. Of 830 attempts and other sounds of these takes 771 were
 *       said rightly at once, of 827 now 774, with 34 corrections instead of 43; of 20 takes laid
 *       side by side none got worse, and 27 that nobody had looked at stay the same. Left out: to
 *       pass over the notes always, or wherever the room is softer without them, which put
 *       thresholds lower and ends later in all takes (43 takes: two more flawed notes called good).
 *       A sound that is no note still counts, or a fan that goes on would never be the room.
 * </ul>
 */
package takewright.segment.room;
