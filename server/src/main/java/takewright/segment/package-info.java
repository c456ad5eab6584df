/**
 * Cuts a take into regions: where each sound starts, sets in and ends, what kind of sound it is and
 * which note it is, by what {@code room} has learnt of the room and where {@code onset} hears a
 * sound set in. {@link takewright.segment.Segment} reads a whole take; {@link
 * takewright.segment.LiveSegment} hears one while it is recorded.
 *
 * <p>Findings that shaped it (measured up to 2026-11-25 on takes made from recordings of violin,
 * double bass and saxophone with room tone, talk and knocks, unless said otherwise):
 *
 * <ul>
 *   <li><b>Levels are followed in bands of a third of an octave.</b> One threshold on the level of
 *       the whole signal misses notes 10 dB above the room and takes hum for notes.
 *   <li><b>Only a sound's own bands keep its region open</b>, those within 35 dB of its strongest:
 *       a truck's rumble under a violin's pause does not. How far a falling band is followed comes
 *       from how far the room strays downwards, since ends of other sounds lift a band and never
 *       lower it; and once a note has sunk, what comes up must lie in the bands heard last
 *       (2026-11-28).
 *   <li><b>A region ends where its bands have died away</b> ({@code FadingBands}), and not where it
 *       was last kept open: what ticks, rattles, blows or passes keeps it open up to the next note.
 *       Behind its body a band counts for as long as it only falls, near the room by 6 dB per
 *       second or more, and then falls on below the room until all of them together lie 12 dB under
 *       it, a second at most. One slope for all bands was too slow where the room rose, and put
 *       ends up to a second later; each band alone was over too soon in a hall, whose tail has the
 *       colour of the room. What the next note shows of itself is left out. What holds a fifth of
 *       the room's power is followed for a second at most: rumble and a thud in a violin's
 *       recording after its note. Without that, seven more tails of 96 takes were cut; in steps of
 *       0.2 s equal notes in an even room came out 0.08 s apart. In 90 takes of further rooms the
 *       ends of ten lay more than 1.5 s beyond the sound at 95 %, and of three with the bands alone
 *       (2026-11-30).
 *   <li><b>What comes behind a sound that was over is another, whatever kept the region open.</b>
 *       While birds, boats or a train passed, the region of a note went on up to the next one,
 *       which was split off only by a plain attack, and only if all before, with the birds in it,
 *       was a note. What comes as loud as its body, after its bands had been silent for longer than
 *       a gap, would be a region of its own in a still room. Of two takes beside birds and boats
 *       all 20 notes are found instead of 17; in 152 takes of other rooms one more is, four fewer
 *       are doubted, one attack fewer is cut into, and nothing is lost (2026-11-30). With two
 *       thirds of the gap three notes more were found, but a word fell into pieces of which one
 *       passed for a note; with a third, attacks of short notes were cut into.
 *   <li><b>The ring of a low string is followed by its one partial</b> ({@code RingingPartial}). Of
 *       a band of 94 Hz it is a small part, which the rumble of a room hides while it is still
 *       heard; in bins of 6 Hz it stands out. In 122 takes 13 tails were cut and 4 are; of 4,879
 *       regions 52 end later, by 0.28 s on average, for 0.5 % of the time that cutting takes
 *       (2026-11-30). A longer mean at the threshold, in the bands heard last, mended two of nine.
 *   <li><b>An onset is traced back from the sound's body</b> (16 dB below its most power) and not
 *       from the first column over the threshold: a rail joint half a second before a note is none
 *       of it.
 *   <li><b>What the room does just before a note is none of its attack:</b> what had fallen by 9
 *       dB, to a level that the room reaches by itself, before the sound rises again is passed
 *       over, and of two rises in a short pause the far stronger one is the note's (2026-11-28; of
 *       five takes with a train, whose onsets were 15 to 293 ms off at 95 %, three came to 3 to 34
 *       ms and two to 21; with what {@code onset} says of dips, one of 54 takes is above 20 ms, at
 *       25). The same holds for a note that begins while a rattle is still open, unless a note
 *       rings into it. A reed's or a bow's noise before its note falls by less, and is found
 *       unfiltered: 5 attacks in 42 takes were cut into before, 2 are now.
 *   <li><b>A stroke springs up from the room.</b> What clicks or rumbles just before it, however
 *       short the pauses, is none of it where the sound rises by 26 dB within 3 ms: the error at 95
 *       % went from 20 to 4 ms on a plucked take beside a train, from 16 to 3 and 23 to 5 on two of
 *       a marimba and a vibraphone, and nowhere up (2026-11-28; 92 takes, no further attack cut).
 *   <li><b>A note is named beside what rings into it.</b> Two notes together have the period of a
 *       lower one that nobody plays. A comb filter at the pitch of what rings takes that away; what
 *       agrees better, with it or without, counts. Of 185 notes that were cut in nine takes of a
 *       guitar ({@code make_session.py --ring .5} to 1.2) 20 were named wrongly and 4 not at all; 2
 *       and 0 now (2026-11-28). The period that both have in common gives way however sure it is.
 *   <li><b>Flaws are heard between a note's partials,</b> in bands of a third of an octave, three
 *       of which must rise together. In three wide bands whose lower limit was the threshold for a
 *       start, 12 of 54 scratches, knocks and voices in recorded takes passed for clean beside the
 *       clean attempt (2026-11-28, {@code make_session.py --flaws}). Of 113 such pairs 23 are not
 *       told apart with columns smoothed by a median of three and 19 as they are, since a creak's
 *       clicks last for one; most are knocks under a violin's bow changes. What rises where the
 *       partials sink is the note's own: that parted bow changes (1.5 to 7 dB) from what was laid
 *       over a note (0 to 1.2 dB), and took marks off clean notes. A limit that follows how
 *       restless a note is hears the soft knock in a plucked note. The quarter of lowest bins in a
 *       block (a "valley" level) parted talk and clean notes worse. Below 120 Hz, where no bins lie
 *       between partials, the whole band is used.
 *   <li><b>A knock is told from a bow by its sharpness</b> ({@code Knocks}): out of the error of a
 *       linear prediction of 40 coefficients it stands for 1.5 ms, a bow change for 20 and more. Of
 *       68 soft knocks 46 stand out by 8 dB, of 1,650 clean notes three (2026-11-28). Windows of 1
 *       ms and other orders parted them less well; below a reed's lowest octave a knock in a narrow
 *       band stays hidden.
 *   <li><b>What is no part of a note is told by its period as well</b> ({@code Aperiodicity}): over
 *       a saxophone or a vibraphone a scratch, a knock or a word lies 5 to 40 dB louder beside the
 *       note than anything in the 200 clean notes around it, at 8,000 samples a second and in three
 *       bands. Bow changes of a violin break the period as well, and hide all but the loudest.
 *       Weighing them by how far the partials sink parted both no better, and counting from 3 kHz
 *       up doubted vibratos at 44.1 kHz. What stands out from the attack on is passed over until it
 *       has sunk: a stroke's partials that are none of its pitch. The level that it is held against
 *       is that of the note while it is loud: against that of its whole region, of which a struck
 *       note may fill a tenth, 25 of 2,276 good samples more are flagged (2026-11-29).
 *   <li><b>What comes and goes while a low note speaks is its own</b> ({@code Excess.settled}), as
 *       it is beside the periodic part: it takes 16 periods to come to its pitch, which may be half
 *       of a short note. In 154 takes two clean notes more are kept instead of flawed ones, and two
 *       fewer of 3,196 are flagged (2026-12-01).
 *   <li><b>Struck and plucked notes</b> are known by a level that only falls after their attack; a
 *       rise by 4 dB that lasts 0.1 s then is the next stroke, even of the same pitch. Strings that
 *       ring together beat, by up to 4 dB; of them a plain stroke is asked for, which rises by 8 dB
 *       or more in the whole and by 10 to 19 in all bands. Of 448 strokes and 21,850 other rises in
 *       90 takes it adds 13 strokes, after which those that follow them are heard as well, and one
 *       syllable over a note (2026-11-28; {@code make_session.py --ring .5} to 1.2, with the next
 *       two: recall of eight takes that were looked at .82 to .97, of eight that were not .86 to
 *       .93, which are all above .97 but a guitar beside a train, .52).
 *   <li><b>A string or a bar struck again sounds as it did at its first stroke</b> ({@code
 *       AttackBands}). Beside its own ring, or a broken off attempt at it, the level may rise by
 *       less than 4 dB, or fall, while the high partials rise by 20 to 40. But for their loudness
 *       the bands of such strokes lie 0.8 to 2.1 dB apart on average, ten in 139 takes; of 28,000
 *       other rises, those of scratches, knocks, syllables and a reed that speaks twice, no other
 *       that is as plain and as wide comes below 3.2. In 36 takes of short or ringing notes recall
 *       went from .948 to .959 and the flawed attempts left out from 159 to 163 of 182, in 103
 *       takes of all sorts one differs, which has a note more (2026-11-29). Rises of the high bands
 *       alone, and how long they last, did not tell a knock or a scratch on a string from a stroke.
 *   <li><b>A soft note under a louder ring is heard without that ring</b> ({@code Comb}). Its level
 *       hardly tells it: eight such notes rose by 0.3 to 9 dB in the whole. Without the partials of
 *       what rings the rest rises by 30 dB and holds one pitch for as long as it is heard; of a
 *       word it rises as much and wanders, but for a made one, whose vowels are as still: what was
 *       there before must be a note, or ring out. In 72 takes five notes more are found and none is
 *       lost (2026-11-30). Left: a stroke of the same pitch, and one whose region takes the name of
 *       the note that rings.
 *   <li><b>Behind a word a stroke is known by its still pitch.</b> A word over strings or bars that
 *       ring made one region of all that followed up to the next pause, of up to nine notes. What
 *       rises plainly in what is no note so far, and stays within 20 cents while it rings, is the
 *       next note; of 24 syllables of 15 takes that rise as plainly and go on within 70 cents none
 *       does. In 43 takes recall went from .988 to .990 and the flawed attempts left out from 118
 *       to 120 of 126, no note less; of 294 attempts in 12 takes of short or ringing notes {@code
 *       follow} missed 26 and misses 8 (2026-11-29). Within notes such a rise splits tremolos; what
 *       does not die away is bowed or blown, and a word that leads into it disturbs it. Where a
 *       pause lies between them, a pitch that is held within 70 cents for most of .8 s, which no
 *       vowel is, begins a note: where the room keeps a word's region open, notes were cut up to 3
 *       s early with the word, five in three of six takes with such words, and none now.
 *   <li><b>A brief note is known by a pitch above any voice.</b> High notes of a tenth of a second
 *       hold no pitch for long and are over before they outlast a knock, so that they stayed in the
 *       word or the note before them. What rises by 12 dB, is over within .2 s and repeats above
 *       600 Hz at once is a note. In 43 takes recall went from .993 to .995, and the one region
 *       that held two notes and the one wrong name are gone; left: one word is cut into five, two
 *       of which pass for further notes of no cell (2026-11-29).
 *   <li><b>While another rings, a note begins where it is struck</b> ({@code StrokeEdge}). What
 *       rings has lost its high partials, so that a stroke springs up by 8 dB or more in the second
 *       difference within 2 ms. By the columns alone 17 of 244 such notes began more than 20 ms off
 *       and 95 % within 24 ms; 8 and 8 ms now, and no attack of them is cut into (2026-11-30; 122
 *       takes). Where nothing sounds any more it is not looked for, and what grows by 6 dB within
 *       the next 25 ms is no stroke: without either, 22 attacks were cut into, 21 of them of a
 *       reed.
 *   <li><b>The edge of a stroke also tells that there is one</b> ({@code StrokeEdge}), where the
 *       next follows so soon that nothing is heard to die away. Behind words 51 of 71 strokes have
 *       an edge of 25 to 70 dB in the second difference, two of 334 other rises have, and where an
 *       edge is lower the pitch must stay still: with a pitch asked for beside each edge, strokes
 *       were missed that a word goes on over, or another follows (in 63 takes with words 28 notes
 *       were missed instead of 33, in 35 that nobody had looked into 5 instead of 7). And where the
 *       high partials of a string that rings as loud hide some of those of its next stroke, an edge
 *       and a pitch that goes on tell it from a knock whose bands lie further apart. In 117 takes
 *       11 of 42 missed notes are found, 3 more flawed attempts are left out, and no region holds
 *       two notes any more (two did); in 60 takes that were not looked at one note more is found
 *       (2026-11-30, with the next). Edges as plain are no onsets of all sounds: a key or a creak
 *       in a slow attack has them, and five attacks of 66 takes in rooms that were never looked at
 *       were cut into by up to 90 ms.
 *   <li><b>A note is named as it sounds before it fades,</b> where its windows hardly agree or
 *       another rings into it, and that is a multiple of what they agree on: what rings along dies
 *       away later, and both together have a longer period. In 136 takes five names more are right
 *       and none is wrong that was right (2026-12-01).
 *   <li><b>A soft or stopped note gives way to none that rings through it.</b> What is left beside
 *       the ring names the note where it agrees on another one by .65, though the ring agrees
 *       better: of three such notes it came to .73 to .8, of 30 strokes of the same string to .55.
 *       What rings is what is heard last, which is not the note before where that has stopped; and
 *       a low note of the plan is none if another rings into it, as both have its period.
 *   <li><b>What had ended before a note hides nothing of its attack.</b> A note that follows within
 *       a quarter of a second was compared with the end of the one before, and drawn on 20 to 60 ms
 *       downwards though it stood 35 dB clear of the room. The onset's error at 95 % went from 47
 *       to 3, 39 to 7 and 24 to 10 ms on three of 127 takes and from 36 to 3 ms on one of 24 that
 *       nobody had looked at; 3 attacks are cut into instead of 5, and one take rose from 3 to 16
 *       ms, where a rail joint leads into a note (2026-11-29). Of 2,303 notes one is lost, whose
 *       longer region, with a knock in it, no longer fills its cell.
 *   <li><b>A note counts as long as its partials are heard,</b> and a stroke's region ends there.
 *       What held a region open behind it (a knock, a word, a train) made short notes seem as long
 *       as the others, and put into them what came after. Tails of bowed notes were cut by the same
 *       rule, so that there it only says how long they are. Held against what lies beside them
 *       alone, partials go on where the room hums; the room's level is asked for as well. With the
 *       next: of 30 takes that nobody had looked into 521 notes instead of 519 are kept, 64 of 67
 *       flawed attempts left out instead of 62, and 18 good samples flagged instead of 24
 *       (2026-11-29). What goes over into a sound that fills no cell counts as interrupted.
 *   <li><b>A low string takes 16 periods to repeat:</b> what stirs until then is its own, and of
 *       what rises later only what exceeds 3 dB counts. In 66 takes of low notes 8 clean ones are
 *       marked for that instead of 23, and 44 flawed ones instead of 43 (2026-11-29).
 *   <li><b>A region of no length is none.</b> Where a rail joint opened a region and its onset was
 *       traced to the note behind it, the note was split off there without its lead-in. It is
 *       opened anew: the lead-ins of six of 127 takes differ by less, and no cut is worse
 *       (2026-11-29).
 *   <li><b>Decisions lag 20 s behind the input,</b> so that the pause after a long note is known.
 *       Reading the whole take first would be simpler, but a stream could not be cut that way. The
 *       cuts do not depend on the size of the pieces in which a take arrives.
 *   <li><b>Talk is known by its wandering pitch</b> rather than by a model of voices. The share of
 *       pitch windows that agree was at most 0.49 in talk and at least 0.7 in held notes. In glides
 *       and phrases, whose pitch moves too, the test is the share of windows within 20 cents of the
 *       window before: at most 0.49 in talk, at least 0.67 in phrases.
 *   <li><b>A short note in a hall is known by the few windows that repeat.</b> Its slow attack and
 *       its long tail have no pitch, so that it was called talk: eight notes of a double bass,
 *       played for 0.3 s with a reverberation of 1.2 s, in two of 30 further takes. Of the votes of
 *       windows that do repeat, 0.76 to 1 lie within 25 cents of one pitch in six of them, which
 *       are kept now, and at most 0.47 in 78 stretches of talk of 73 takes; of 68 spoken lines with
 *       that reverberation seven are taken for notes with and without it (2026-11-29). Counting
 *       double octaves as the same note keeps the other two, two more of the lines and one flawed
 *       attempt; it was left out.
 *   <li><b>A new note inside a ringing tail</b> needs a new pitch that goes on for 0.4 s after
 *       something that was a note. A new pitch alone cut talk into syllables. Octaves and twelfths
 *       do not count, since the attack of a low string is misheard as one of them.
 *   <li><b>A burst before a tone is no note</b> ({@code NextNote}). Tried on 36 takes whose notes
 *       were moved to other registers and timbres (bowed strings down, reeds up and dulled or
 *       brightened, plucked strings up, bars up and down), a dull reed was cut in two 0.2 s after
 *       its attack in six notes. A note that has fallen for less than 0.3 s tells no stroke any
 *       more: these are whole; of 4,167 notes of 168 other takes one is lost. An edge does not tell
 *       them apart as well: two of three strokes so soon have none (2026-11-30). Left: notes of 30
 *       s in pauses under a second, of which 12 of 30 were taken for a change of the room, since
 *       the 20 s that are looked ahead hold nothing else.
 *   <li><b>While recording, two passes run side by side.</b> One decides within 21 ms of the sound
 *       and reports a note about 0.2 s after its end; the other is the segmenter of files, 20 s
 *       behind, and confirms or corrects. A single pass that looked less far ahead would decide
 *       worse, and its table would not be the build's. The cost is cutting twice, which is small.
 *   <li><b>Medians of the room's levels by selection</b> instead of sorting, and the division in
 *       the onset's sliding power in a loop of its own, took the processor time for 14.2 min of
 *       take from 1.9 to 1.4 s without moving a cut (2026-11-27, 960 regions of 48 takes). What is
 *       learnt of the room lies together by band, and each spectrum is measured once: 12.6 min went
 *       from 1.38 to 1.21 s (2026-11-28; 1.00 s before the room's spread was learnt). With the
 *       maximum and the running sum of YIN's difference in loops of their own, and less looked at
 *       twice, 14.4 min went from 1.45 to 1.22 s. Ranks found without branches took 15.5 min from
 *       1.46 to 1.39 s; a loop for gaps that ran on over still samples cost 3 % and was left out.
 *   <li><b>A pause shows the room up to the next note.</b> It ended a second before the note, as
 *       far back as an onset is looked for, so that pauses under 1.5 s taught the cleaning nothing:
 *       in 43 takes in recorded rooms 338 s of room tone were found, and 976 s are now; one take
 *       had none and has 2.8 s. The cuts are the same (2026-11-29).
 *   <li><b>Regions that a person marked are measured in a pass of their own</b> beside the usual
 *       one, which still says where the room is heard: what was left unmarked, like talk, is no
 *       room tone. Each mark opens and closes a region of the same segmenter, so that pitch, flaws
 *       and onset are found as elsewhere; marks that overlap are shared out over several such
 *       passes. Measuring stretches by themselves afterwards would have lacked the room around
 *       them.
 * </ul>
 */
package takewright.segment;
