/**
 * Cuts a take into regions: where each sound starts, sets in and ends, what kind of sound it is and
 * which note it is. {@link takewright.segment.Segment} reads a whole take; {@link
 * takewright.segment.LiveSegment} hears one while it is recorded.
 *
 * <p>Findings that shaped it (measured up to 2026-11-25 on takes made from recordings of violin,
 * double bass and saxophone with room tone, talk and knocks, unless said otherwise):
 *
 * <ul>
 *   <li><b>Levels are followed in bands of a third of an octave.</b> One threshold on the level of
 *       the whole signal misses notes 10 dB above the room and takes hum for notes.
 *   <li><b>The room's level in a band is the cluster of the quietest quarter seconds</b> of the
 *       minutes before and after. A percentile fails where notes are long and pauses are short; the
 *       cluster needs only a few quiet moments.
 *   <li><b>Decisions lag 20 s behind the input,</b> so that the pause after a long note is known.
 *       Reading the whole take first would be simpler, but a stream could not be cut that way. The
 *       cuts do not depend on the size of the pieces in which a take arrives.
 *   <li><b>The spectrum says where to look for an onset, the samples say when.</b> The spectral
 *       difference is only as exact as its hop. The samples are read through a filter made for this
 *       sound in this room.
 *   <li><b>An onset below the room is extrapolated.</b> With a single short filter, soft notes in a
 *       room of -50 dBFS were found 10 to 120 ms early. Four filters of 1 to 60 ms are averaged,
 *       each weighted by the inverse square of its likely error. The rise is read over 20 dB and
 *       extrapolated as a power of time, which has a beginning; a straight line in dB has none.
 *       Templates from a take's louder notes were not used: they say little about a player's soft
 *       attack, and a live stream has not heard them yet.
 *   <li><b>Talk is known by its wandering pitch</b> rather than by a model of voices. The share of
 *       pitch windows that agree was at most 0.49 in talk and at least 0.7 in held notes. In glides
 *       and phrases, whose pitch moves too, the test is the share of windows within 20 cents of the
 *       window before: at most 0.49 in talk, at least 0.67 in phrases.
 *   <li><b>A new note inside a ringing tail</b> needs a new pitch that goes on for 0.4 s after
 *       something that was a note. A new pitch alone cut talk into syllables. Octaves and twelfths
 *       do not count, since the attack of a low string is misheard as one of them.
 *   <li><b>While recording, two passes run side by side.</b> One decides within 21 ms of the sound
 *       and reports a note about 0.2 s after its end; the other is the segmenter of files, 20 s
 *       behind, and confirms or corrects. A single pass that looked less far ahead would decide
 *       worse, and its table would not be the build's. The cost is cutting twice, which is small.
 *   <li><b>Medians of the room's levels by selection</b> instead of sorting, and the division in
 *       the onset's sliding power in a loop of its own, took the processor time for 14.2 min of
 *       take from 1.9 to 1.4 s without moving a cut (2026-11-27, 960 regions of 48 takes).
 * </ul>
 */
package takewright.segment;
