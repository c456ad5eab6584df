/**
 * A take that is followed while it is recorded: what a build would find wrong with each sound, said
 * at once.
 *
 * <p>Decisions, with the figures that decided (up to 2026-12-01, {@code make_session.py}: recorded
 * notes in recorded rooms). The first word on an attempt is right where it calls a clean one good
 * and a flawed one not.
 *
 * <ul>
 *   <li><b>One judge.</b> The build's own rules ({@code RegionFlags}) judge what was heard so far.
 *       They doubt 81 of 103 flawed attempts at once and call 794 of 809 clean ones good; the
 *       segmenter's flags alone doubt 34 and call 783 good.
 *   <li><b>Three ears</b> ({@code LiveSegment}). The first speaks 0.2 s after a note's end, but
 *       takes a note that follows within a third of a second for more of the same. The third is the
 *       build's, 20 s behind. With these two alone, 95 % of all words had come 11 s after the note;
 *       with a second ear, which looks a second ahead and knows the room by what was before alone,
 *       1.3 s. All three take 2.8 % of a core.
 *   <li><b>The first ear's doubts wait for the second</b> ({@code Follow.isUnclear}), since it
 *       takes what follows a note for a part of it, and so do notes on which few windows agree:
 *       below 0.6 of them the second ear took back three of ten, above seven of 889. How long a
 *       short note was only the second ear knows ({@code FlagsSoFar}). That good notes waited for
 *       what goes on behind them made no first word of 81 takes better.
 *   <li><b>Waiting longer gains nothing.</b> Of 962 attempts 915 are said rightly as it is, and 914
 *       to 917 were every word held back until 1.7 to 2.9 s after the note, or the doubts alone.
 *   <li><b>What is said holds</b> ({@code ToldJudgements}). Each sound makes all that was heard be
 *       matched again; told as it came, 25 of 912 notes changed more than once, the last after 82
 *       s. Now one correction is made, within 20 s of the note's end, and only where a doubt is
 *       sure to last: of the corrections that came later 16 were right and 20 wrong.
 *   <li><b>What is surplus is settled when it is played</b> ({@code StillWanted}). An attempt whose
 *       cell another fills later was wanted; so was one at the next note that fits no cell yet, and
 *       a flawed one while a round robin of its note is missing.
 *   <li><b>A note is held against the same note played before</b> ({@code NoisierThanBefore}), as a
 *       bow that changes hides a word or a scratch among other notes. Of 600 clean notes none is
 *       doubted for it, of 52 flawed ones 26 are. Nor may what is heard beside it rise 9 dB higher
 *       than twice before, or a third of its windows agree less: of 38 flawed attempts of 81 takes
 *       that had been called good that tells five. Beside notes of other pitches neither parts them
 *       (of 25 that stand out furthest by what is beside them two are flawed). Attempts that were
 *       replaced count as no notes of the take, or a second one that was broken off would be as
 *       long as the first.
 *   <li><b>Short notes tell scratches and knocks by themselves</b> ({@code StandOut}): harsher from
 *       3 to 7 kHz than all good notes but one, or a rise from 1.5 to 3 kHz. Of 76 knocks and
 *       scratches in 36 takes 62 are told instead of 47, and no clean note more is doubted. From
 *       150 to 1,500 Hz notes change as much by themselves.
 *   <li><b>A word over a note is told by what sounds behind it</b>: of 275 next notes three hold no
 *       pitch in their first second, of 33 words 28. A word close behind a note lies over its tail
 *       ({@code WordBehind}) if it begins within 0.2 s of where the note is last heard in any band;
 *       of 15 such words 10 are told instead of five.
 *   <li><b>Blows are held against the room</b> ({@code RoomBlows}): rain and creaks passed for
 *       knocks over clean first notes. In a room that has two as loud in 10 s of pauses, none is
 *       held against a note.
 *   <li><b>What the sheet does not ask for and is softer than every note is none</b> ({@code
 *       Follow.said}): knocks that ring and syllables that are held passed for notes too many. Of
 *       2,774 first words in 81 takes 49 more are right.
 *   <li><b>Low notes that are over soon are known by the plan</b> ({@code PlannedPitch}): the
 *       sheet's period that the whole sound agrees with best was right for 13 of 13 notes of a
 *       double bass, and none of 230 other sounds passed.
 *   <li><b>Rules tell what no other does.</b> Of 705 flawed and 3,618 clean attempts in 168 takes
 *       an odd length tells 77 flawed ones alone (and doubts five clean ones), a word behind 43
 *       (four), more beside a note than any has 27 (none), a scratch 18 (none), what comes and goes
 *       16 (seven), a wrong beginning 15 (none), a blow ten (two), the same note before nine (one),
 *       a pitch that comes late five (three), another sound that follows five (one). Rules that
 *       told nothing alone are gone.
 *   <li><b>What can hardly be known at once.</b> In 156 takes 89 of 3,977 attempts get a wrong
 *       first word or none (2026-12-01). Of 54 flawed ones 42 are doubted only once the same note
 *       is played again, and 27 of those were the first attempt at it. Of 35 clean ones 15 are
 *       doubted for the same reason when the take is over, so that waiting would not help.
 * </ul>
 */
package takewright.library.follow;
