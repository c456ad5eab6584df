/**
 * Which region fills which cell, by what was heard, the sheet's order and a person's decisions.
 *
 * <p>Decisions, with the figures that decided (up to 2026-12-01; takes of recorded notes in
 * recorded rooms, {@code make_session.py}).
 *
 * <p>The path through the sheet:
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
 *   <li><b>A sure pitch is believed to within an octave of its cell, and only in its place.</b>
 *       With any octave, and for notes that come late, low notes filled the missing high cells of a
 *       sheet that was an octave off.
 *   <li><b>Another plan is looked for by which notes are heard, then by the cost of the path</b>
 *       ({@code PlanSearch}); only notes outside of the sheet count, since what is missing is no
 *       other plan. No build of 62 right takes was stopped; of their sheets moved by an octave or
 *       two 179 of 186 are found, by a semitone 113 of 124, with another count of round robins 147
 *       of 186. Of a range that is too short only a third is found. In a chromatic take the ends
 *       tell a semitone ({@code PlansOfSessionsTest}: 31 of 32).
 *   <li><b>A level tells a note's dynamics only where the note is surely heard</b> ({@code
 *       AlignmentCosts}); half of what two dynamics lie apart is the most by which the levels of
 *       one note may contradict each other ({@code ExpectedLevels}).
 *   <li><b>What lies far below a take's notes is none of them,</b> also once the take is over, or
 *       clicks with the pitch of a missing note fill its cell. What was rejected is not judged by
 *       its level, nor is a softer sound doubted by degrees: each lost more than it won.
 *   <li><b>What the sheet does not ask for shows nothing of what the notes are like</b> ({@code
 *       Likeness}).
 * </ul>
 *
 * <p>Which of several attempts:
 *
 * <ul>
 *   <li><b>What speaks against an attempt is added up</b> ({@code Attempts}): broken off, begun
 *       wrong, knocked or talked into, noisier than others, disturbed, less sure in pitch. As a
 *       chain, in which the first of these decided, it left out 23 fewer of 297 flawed attempts.
 *       Measures in degrees, weighed by a logistic regression, were no better.
 *   <li><b>A flaw may cut a note in two</b> for the segmenter. Short parts that touch the note they
 *       lead into are no attempts of their own ({@code Interruptions}); five clean attempts in 35
 *       takes had given way to one. Where both parts are the same note it was played anew.
 *   <li><b>An attempt is noisier if it is so beside two others</b>, where there are as many: a
 *       single calm one, or a piece of a note, would speak against all the rest.
 *   <li><b>Two attempts laid beside each other</b> ({@code NoiseCourse}, {@code Aperiodic}) tell
 *       what thresholds do not, in notes of 0.3 s above all. Of three neighbouring bands the mean
 *       counts: the least of them missed scratches that two bands have by 25 dB. How much louder
 *       one is counts while both go on, as a note that is heard for longer dies away further.
 *   <li><b>An attempt is also held against the take's other notes.</b> Beside one that a word makes
 *       longer a clean one seems broken off; as long as the notes around it, it hardly is. A short
 *       note begun on the wrong one is told by its tuning beside the take's ({@code UsualTuning}).
 *       One heard for less than 0.4 of the longest gives way, whatever speaks against the others.
 *   <li><b>A note that is heard to be flawed is often played again</b> ({@code FlawedAlone}): a
 *       second attempt then costs no more than a note. Costs lower by a third and more took clean
 *       notes for repetitions of the note before.
 *   <li><b>A word may set in up to 0.1 s behind what a note is heard for</b> and still lie over it,
 *       and a knock in a tail may be 30 dB softer than the note: 512 of 539 flawed attempts in 108
 *       takes are left out where 505 were.
 *   <li><b>What follows a note is not always laid over it.</b> It was over if it has not been heard
 *       for 0.3 s; the next attempt, begun on the wrong note, is no word; what rings into a note is
 *       none of it, unless it rings into the other attempt as well. In 232 takes 141 of 5,690 clean
 *       notes are flagged where 175 were.
 *   <li><b>What is heard each time a note is played is its own</b> ({@code FlawedAlone}, and in
 *       {@code takewright.library.take}): nobody makes the same mistake twice. A reed's lowest
 *       notes are rough whenever they are played short, a low string comes to its pitch late, a bow
 *       changes in the same place. In 112 takes 12 of 68 clean notes that were flagged no longer
 *       are. An attempt that comes to its note later than another gives way.
 *   <li><b>A wrong beginning beside a right one is no round robin:</b> where one was left out on
 *       purpose, it filled that cell ({@code Attempts.giveUp}). Nor is what is far shorter and goes
 *       over into something else: of 182 takes a word and a flawed attempt fewer are kept.
 *   <li><b>A note that is not low is misheard by octaves and twelfths alone.</b> As any other an
 *       unsure pitch is rather a word's.
 *   <li><b>An attempt that gives way says why</b> by the rule that it lost by. Of 244 that lost for
 *       what is heard in them five have no flag.
 *   <li><b>Rules that decide nothing are gone.</b> Each was turned off over 296 takes, then all of
 *       them together that changed nothing or made it better. Of 7,297 notes 7,248 are kept where
 *       7,242 were, and of 1,520 flawed attempts 46 where 52 were.
 * </ul>
 */
package takewright.library.match;
