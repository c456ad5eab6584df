/**
 * Cuts a take into regions: where each sound starts, sets in and ends, what kind of sound it is and
 * which note it is, by what {@code room} has learnt of the room and where {@code onset} hears a
 * sound set in. {@link takewright.segment.Segment} reads a whole take; {@link
 * takewright.segment.LiveSegment} hears one while it is recorded.
 *
 * <p>Decisions, with the figures that decided (up to 2026-11-30; takes of recorded notes in
 * recorded rooms, {@code make_session.py}, unless said otherwise).
 *
 * <p>Starts and ends:
 *
 * <ul>
 *   <li><b>Levels are followed in bands of a third of an octave.</b> One threshold on the level of
 *       the whole signal misses notes 10 dB above the room and takes hum for notes. Only bands
 *       within 35 dB of a sound's strongest keep its region open: a truck's rumble does not.
 *   <li><b>Decisions lag 20 s behind the input,</b> so that the pause after a long note is known.
 *       Reading the whole take first would be simpler, but a stream could not be cut that way. The
 *       cuts do not depend on the size of the pieces in which a take arrives.
 *   <li><b>A region ends where its bands have died away</b> ({@code FadingBands}), and not where it
 *       was last kept open, as by what ticks or passes. A band counts for as long as it only falls,
 *       and then falls on below the room until all of them lie 12 dB under it, a second at most.
 *       One slope for all bands put ends up to a second later; each band alone was over too soon in
 *       a hall. Without the limit of a second, seven more tails of 96 takes were cut.
 *   <li><b>The ring of a low string is followed by its one partial</b> ({@code RingingPartial}), in
 *       bins of 6 Hz: in a band of 94 Hz a rumble hides it. In 122 takes 13 tails were cut and 4
 *       are, for 0.5 % of the time that cutting takes.
 *   <li><b>What comes behind a sound that was over is another, whatever kept the region open.</b>
 *       It comes as loud as the sound's body, after a silence longer than a gap. Of two takes
 *       beside birds and boats all 20 notes are found instead of 17. With two thirds of the gap a
 *       word fell into pieces; with a third, attacks were cut into.
 *   <li><b>An onset is traced back from the sound's body</b> (16 dB below its most power), not from
 *       the first threshold: a rail joint half a second before a note is none of it. What falls by
 *       9 dB to what the room reaches, before the sound rises again, is passed over, and so is what
 *       leads up to a stroke that rises by 26 dB within 3 ms: errors at 95 % fell from 15 to 293 ms
 *       to 2 to 34 in five takes with a train, from 20 to 4 in plucked ones.
 *   <li><b>What had ended before a note hides nothing of its attack.</b> Compared with the end of
 *       the note before, the error at 95 % was 47, 39 and 24 ms in three takes; it is 3, 7 and 10.
 *   <li><b>Behind a pause a note may begin before its column shows it,</b> as a slow attack shows
 *       in the spectrum up to 60 ms after it has set in.
 *   <li><b>A region of no length is none:</b> where a rail joint opened one and its onset was
 *       traced to the note behind it, it is opened anew.
 *   <li><b>A pause shows the room up to the next note</b>, and not up to a second before it: 976 s
 *       of room tone are found in 43 takes instead of 338, with the same cuts.
 * </ul>
 *
 * <p>One note or two:
 *
 * <ul>
 *   <li><b>Struck and plucked notes</b> are known by a level that only falls after their attack; a
 *       rise by 4 dB that lasts 0.1 s is the next stroke. Strings that ring together beat by as
 *       much: of them 8 dB are asked for, and 10 to 19 in all bands. Of 22,298 rises in 90 takes
 *       that finds 13 strokes more, and one syllable.
 *   <li><b>A string or a bar struck again sounds as it did at its first stroke</b> ({@code
 *       AttackBands}). Beside its own ring the level may even fall, but the bands of such strokes
 *       lie 0.8 to 2.1 dB apart; of 28,000 other rises none so plain comes below 3.2. In 36 takes
 *       of short or ringing notes recall went from .948 to .959.
 *   <li><b>A soft note under a louder ring is heard without that ring</b> ({@code Comb}): the rest
 *       rises by 30 dB and holds one pitch. What was there before must be a note, or ring out, as a
 *       made word has vowels as still. In 72 takes five notes more are found and none is lost.
 *   <li><b>While another rings, a note begins where it is struck</b> ({@code StrokeEdge}): within 2
 *       ms it springs up in the second difference, as what rings has lost its high partials. By the
 *       columns alone 17 of 244 such notes began more than 20 ms off, now 8. Elsewhere edges are no
 *       onsets: a key or a creak in a slow attack has them, and five attacks were cut into.
 *   <li><b>Behind a word a stroke is known by an edge or by its still pitch.</b> Edges of 25 to 70
 *       dB have 51 of 71 strokes behind words and two of 334 other rises; where an edge is lower,
 *       the pitch must stay within 20 cents, which no syllable of 24 does. In 63 takes with words
 *       28 notes are missed instead of 33, in 35 that nobody had looked into 5 instead of 7.
 *   <li><b>What is struck after a short pause has its edge and its pitch, whatever that pitch
 *       is.</b> A bar struck an octave above one that had stopped .1 s before was taken for that
 *       one's own partial. Of more than 2,000 rises of 96 takes 113 by 30 dB have an edge and a
 *       pitch that goes on, and all are notes. A tone that sags and comes up again comes up slowly
 *       and is none. In 154 takes four more notes are found and two fewer are split.
 *   <li><b>A new note inside a ringing tail</b> needs a new pitch that goes on for 0.4 s; a new
 *       pitch alone cut talk into syllables. Octaves and twelfths do not count, since the attack of
 *       a low string is misheard as one of them.
 *   <li><b>A burst before a tone is no note</b> ({@code NextNote}): a note that has fallen for less
 *       than 0.3 s tells no stroke. Six notes of a dull reed are whole; of 4,167 notes of 168 other
 *       takes one is lost.
 * </ul>
 *
 * <p>Names and kinds:
 *
 * <ul>
 *   <li><b>A note is named beside what rings into it.</b> Two notes together have the period of a
 *       lower one that nobody plays; a comb filter at the pitch of what rings takes that away, and
 *       what agrees better counts. Of 185 notes of a guitar 24 were wrong or unnamed, now two. A
 *       soft or stopped note gives way to none that rings through it: what is left beside the ring
 *       names it where that agrees by .65 (of such notes .73 to .8, of strokes of the same string
 *       .55 at most).
 *   <li><b>A note is named as it sounds before it fades,</b> where its windows hardly agree or
 *       another rings into it, and that is a multiple of what they agree on: what rings along dies
 *       away later. In 154 takes five names more are right and none is wrong that was right.
 *   <li><b>A note counts as long as its partials are heard,</b> and a stroke's region ends there:
 *       what held a region open behind it made short notes seem as long as the others.
 *   <li><b>Talk is known by its wandering pitch</b> rather than by a model of voices. The share of
 *       windows that agree was at most 0.49 in talk and at least 0.7 in held notes. In a hall the
 *       windows that repeat at all decide, of which 0.76 to 1 agree in short notes and 0.47 in
 *       talk. In glides and phrases each window is held against the one before.
 *   <li><b>What rings is flagged where it is heard:</b> in the tail that is cut, down to 30 dB
 *       below its note, and under the next attack, which masks what lies 25 dB below it. With 35 dB
 *       for both 38 of 531 good samples of 40 takes that ring or are cut soon were flagged, and 28
 *       are.
 * </ul>
 *
 * <p>Flaws of a note:
 *
 * <ul>
 *   <li><b>They are heard between its partials,</b> in bands of a third of an octave, three of
 *       which must rise together: 23 of 113 pairs of a flawed and a clean attempt are not told
 *       apart, most of them knocks under bow changes. What rises where the partials sink is the
 *       note's own. The lowest quarter of bins (a "valley" level) parted them worse.
 *   <li><b>A knock is told from a bow by its sharpness</b> ({@code Knocks}): in the error of a
 *       linear prediction of 40 coefficients it lasts 1.5 ms, a bow change 20 and more. Of 68 soft
 *       knocks 46 stand out by 8 dB, of 1,650 clean notes three.
 *   <li><b>What is no part of a note does not repeat with its period</b> ({@code Aperiodicity}):
 *       over a reed or a bar it lies 5 to 40 dB over anything in 200 clean notes. What stands out
 *       from the attack on is passed over until it has sunk. A low string takes 16 periods to
 *       repeat ({@code Excess.settled}): 8 clean notes of 66 takes are marked for it instead of 23,
 *       and what comes and goes until then is its own as well.
 * </ul>
 *
 * <p>Ways of working:
 *
 * <ul>
 *   <li><b>While recording, passes run side by side:</b> one decides within 21 ms of the sound, the
 *       other is the segmenter of files, and confirms or corrects. A single pass that looked less
 *       far ahead would decide worse, and its table would not be the build's.
 *   <li><b>Regions that a person marked are measured in a pass of their own</b> beside the usual
 *       one, which still says where the room is heard. Each mark opens and closes a region of the
 *       same segmenter; marks that overlap are shared out over several such passes. Measuring
 *       stretches by themselves afterwards would lack the room around them.
 *   <li><b>A call that cuts one take lets a free core help</b> ({@code ahead}): it measures columns
 *       and looks for the pitches of the next windows. Whoever does it, the cuts are the same to
 *       the bit. A minute of stereo takes 0.83 of the time, and 4 to 8 % more processor time, so
 *       that a build, whose takes keep all cores busy, asks for no help (2026-12-01).
 *   <li><b>Speed:</b> what is learnt of the room lies together by band, medians are selected and
 *       not sorted, each spectrum is measured once, and YIN's maximum and running sum have loops of
 *       their own: 14 min of take went from 1.9 to 1.2 s without moving a cut.
 * </ul>
 */
package takewright.segment;
