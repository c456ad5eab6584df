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
 *       27 of them. Ten minutes of each of these rooms without a note give no region but the
 *       dishwasher's own clicks, which are rejected as knocks. A threshold by percentiles of the
 *       whole take was worse: where notes are long it is the notes' level.
 *   <li><b>Notes that ring into each other for longer than the room is looked for are no room</b>
 *       (2026-11-28). Beside the room on the other side they rise in a few bands alone, and stray
 *       more; a change of the room lifts all bands within 10 dB. What the open region held so far
 *       is none either. Of three takes of a guitar ringing on, 8 tails of low notes were cut by 1
 *       to 3 s, and one onset lay 2.6 s late; now none, and nothing else became worse in 56 takes.
 *       How far partials stand out is compared with the least of both sides, for the same reason.
 * </ul>
 */
package takewright.segment.room;
