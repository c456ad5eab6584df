/**
 * Which region fills which cell, by what was heard, the sheet's order and a person's decisions.
 *
 * <p>Findings (measured up to 2026-11-29):
 *
 * <ul>
 *   <li><b>Bars are put together from the segmenter's regions</b> ({@code Bars.join}), by pitch and
 *       by where the bars end. A longer gap in the segmenter would take a knock or a word soon
 *       after a note into the sample.
 *   <li><b>A wrong order is found by the cost of the whole path in each order</b> ({@code
 *       PlayedOrder}), and only if the sheet's own order costs much. Counting missing cells does
 *       not find it: notes that come late fill their cells afterwards, and with round robins and
 *       dynamics swapped every cell is filled, at the wrong level.
 *   <li><b>A false start costs more than a retake and a missing cell together.</b> By pitch it
 *       would cost nothing as a round robin of its own, and the cell would be filled with a slip.
 *   <li><b>While a take is followed, cells to come cost nothing.</b> Counted as missing, a note at
 *       two dynamics filled the later cell as readily as the first.
 *   <li><b>Another plan is looked for by which notes are heard, then by the cost of the path</b>
 *       ({@code PlanSearch}): of a chromatic range a shift by a semitone costs less than the usual
 *       spread of levels, and of a take with many flawed attempts too many notes lie outside of any
 *       plan. Only notes outside of the sheet count: what is missing is no other plan. On 62 takes
 *       (recorded notes in recorded and artificial rooms, attempts flawed, left out and played
 *       again) no build was stopped; of their sheets moved by an octave or two 179 of 186 are found
 *       (by the notes alone 137), by a semitone 113 of 124 (85), with another count of round robins
 *       147 of 186 (161, but then one right sheet is stopped). Of a range that is too short only a
 *       third is found: the notes beyond it must follow a pattern.
 *   <li><b>A semitone in a chromatic take is told by its ends</b>: all notes but those of one end
 *       are in both plans, so that too few lie outside. As much must be missing at one end as was
 *       played beyond the other, in its place in the order. Of 60 computed sessions ({@code
 *       PlansOfSessionsTest} holds 36) 31 of 32 chromatic ones are found so, where 6 of 12 were; of
 *       460 right plans none is doubted.
 *   <li><b>A sure pitch is believed to within an octave of its cell, and only in its place.</b>
 *       With any octave, and for notes that come late, low notes filled the missing high cells of a
 *       sheet that was an octave off.
 *   <li><b>A flaw may cut a note in two</b> for the segmenter: a wrong beginning, a scratch, a
 *       word. Short parts that touch the note they lead into are no attempts of their own ({@code
 *       Interruptions}); five clean attempts in 35 takes had given way to the second part of a
 *       flawed one. Where both parts are the same note it was played anew: four clean notes in 139
 *       takes were said to begin wrong since the attempt before was broken off (2026-11-29); and
 *       where the right one is heard to set in twice, its short first piece is part of the
 *       beginning.
 *   <li><b>What speaks against an attempt is added up</b>: broken off, begun wrong, knocked or
 *       talked into, noisier than others, disturbed by itself, less sure in pitch ({@code
 *       Attempts}). As a chain, in which the first of these decided, it left out 23 fewer of 297
 *       flawed attempts in takes that its order was not found on. Measures in degrees (how much
 *       shorter, noisier, softer), weighed by a logistic regression, were no better.
 *   <li><b>An attempt is noisier if it is so beside two others</b>, where there are as many: a
 *       single calm one, or a piece of a note, spoke against all the rest. Beside one alone it is
 *       rather noisy: a second may be over before a knock comes. And what sets in over an attempt,
 *       be it a word or what passes for a note, weighs more than noise in another. In 122 takes 15
 *       clean notes had lost to flawed ones by what is heard in them and 11 do, in 24 that nobody
 *       had looked at 634 of 644 are kept where 632 were (2026-11-30).
 *   <li><b>A wrong beginning beside a right one is no round robin:</b> where one was left out on
 *       purpose, it filled that cell ({@code Attempts.giveUp}). Nor is what is far shorter and goes
 *       over into something else: in 182 takes a word and a flawed attempt fewer are kept, and no
 *       clean one is given up; from half as much on three were (2026-12-01).
 *   <li><b>An attempt is also held against the take's other notes.</b> Beside one that a word or a
 *       knock makes longer a clean one seems broken off; as long as the notes around it, it hardly
 *       is. A short note begun on the wrong one is told by its tuning beside the take's ({@code
 *       UsualTuning}). And what stirs beside a note for long is its own where another attempt, laid
 *       beside it, has plainly more. In 175 takes 560 of 577 flawed attempts are left out where 553
 *       were, and ten more clean notes are kept; in 48 takes that nobody had looked into nothing
 *       changed (2026-11-29).
 *   <li><b>A note that is heard to be flawed is often played again</b> ({@code FlawedAlone}): a
 *       second attempt then costs no more than a note. By level alone the softer of two loud
 *       attempts was the soft note's, and its flawed successor was kept. And attempts in each of
 *       which a bow stirs still tell how long the note is, up to the length of the notes around: a
 *       note broken off had won over them. In 175 takes three more flawed attempts are left out,
 *       and one that was left out is kept; costs lower by a third and more took clean notes for
 *       repetitions of the note before (2026-11-29).
 *   <li><b>Two attempts laid beside each other</b> ({@code NoiseCourse}, {@code Aperiodic}) tell
 *       what thresholds do not, in notes of 0.3 s above all. What the other has more elsewhere is
 *       taken off. Of three neighbouring bands the mean counts: the least of them, as bow changes
 *       hide one, missed scratches that two bands have by 25 dB (389 and 275 are left out; limits
 *       of 5 to 6 and 10 to 12 dB, and four bands, come within 3). How much louder one is counts
 *       while both go on: a note that is heard for longer, and so dies away further, seemed softer
 *       by up to 45 dB, which hid a knock. In 111 takes 711 of 747 flawed attempts are left out
 *       where 708 were, and three more clean notes are kept (2026-11-30).
 *   <li><b>A word may set in up to 0.1 s behind what a note is heard for</b> and still lie over it:
 *       a short note's tail is only supposed there. A knock in a tail may be 30 dB softer than the
 *       note. Both speak against the attempt, more than what is heard beside another one does; and
 *       an attempt heard for less than 0.4 of the longest gives way, whatever speaks against the
 *       others. In 108 takes 512 of 539 flawed attempts are left out where 505 were (2026-11-30).
 *   <li><b>What follows a note is not always laid over it.</b> It was over if it has not been heard
 *       for 0.3 s; the next attempt at it, begun on the wrong note, is no word; and a word behind a
 *       note that has rung out speaks less against it. What rings into a note is none of it, also
 *       where the whole take rings and no note says so, unless it rings into the other attempt as
 *       well. In 232 takes 141 of 5,690 clean notes are flagged where 175 were; five that had lost
 *       to flawed ones are kept and two lose. In 60 that nobody had looked into 19 of 1,460 are
 *       flagged where 34 were, and three more are kept. An attempt that the next one ends may all
 *       the same be broken off: where that was forgiven, ten flawed ones more were kept in 112
 *       takes (2026-11-30).
 *   <li><b>What is as long as the notes around it was not broken off,</b> however long the next one
 *       seems: the room behind a short note made it so, and the whole note before gave way to it
 *       ({@code AlignmentCosts}). In 117 takes three clean notes more are kept and none is lost
 *       (2026-11-30).
 *   <li><b>What lies far below a take's notes is none of them,</b> also once the take is over:
 *       clicks with the pitch of a note that is missing filled its cell as if it had come late.
 *       What was rejected is not judged by its level: of 296 takes two notes were lost, as its
 *       order then had a knock less between two notes (2026-11-30). Nor is a softer sound doubted
 *       by degrees: from 8 dB on, in 296 takes a syllable fewer was kept, and one flawed attempt
 *       more (2026-11-30).
 *   <li><b>What the sheet does not ask for shows nothing of what the notes are like</b> ({@code
 *       Likeness}): in a room with clicks of a sure pitch, 20 dB below the notes, a short low note
 *       was doubted for being unlike them. In 236 takes it is kept, and else the same ones are as
 *       before (2026-11-30).
 *   <li><b>A level only tells which of a note's dynamics it was</b> where the note is surely heard:
 *       the second attempt at a note that was 5 dB louder than the first, which a knock lay over,
 *       was a sound too many ({@code AlignmentCosts}, 2026-11-29).
 *   <li><b>What is heard each time a note is played is its own</b> ({@code FlawedAlone}, and in
 *       {@code takewright.library.take}): nobody makes the same mistake twice. A reed's lowest
 *       notes are rough whenever they are played short, a low string comes to its pitch late, a bow
 *       changes in the same place. In 112 takes of recorded rooms 12 of 68 clean notes that were
 *       flagged no longer are (2026-12-01).
 *   <li><b>A note that is not low is misheard by octaves and twelfths alone.</b> As any other an
 *       unsure pitch is rather a word's: of 154 takes one word no longer fills the cell of a note
 *       that was never played, and no note is lost (2026-12-01).
 *   <li><b>An attempt that comes to its note later than another</b> may have been begun on the
 *       wrong one, though it is too short to hold that: four clean notes more are kept in these
 *       takes and none is lost. And half of what two dynamics lie apart is the most by which the
 *       levels of one note may contradict each other: at 6 dB two wrong levels, one of either side,
 *       passed for a louder note ({@code ExpectedLevels}, 2026-12-01).
 *   <li><b>Rules that decide nothing are gone.</b> Each was turned off over 296 takes, then all of
 *       them together that changed nothing or made it better: that an unsure sound costs less where
 *       it fills no cell, that an attempt is broken off where it is softer than all others, that
 *       what passes for a note over an attempt weighs less than a word, that weaker knocks are told
 *       by comparison, that a limit for noise is the take's own. Of 7,297 notes 7,248 are kept
 *       where 7,242 were, of 1,520 flawed attempts 46 where 52 were, and of what is kept 49 are no
 *       good notes where 55 were; in 23 further takes 534 of 541 notes as before, and one flawed
 *       attempt fewer (2026-11-30).
 *   <li><b>An attempt that gives way says why</b> by the rule that it lost by: broken off, begun
 *       wrong, or disturbed beside the one that is kept. Of 244 that lost for what is heard in them
 *       40 had no flag, and 5 have none now, whose pitch is only less sure or which are hardly
 *       noisier (2026-11-29, the same takes).
 * </ul>
 */
package takewright.library.match;
