/**
 * A take that is followed while it is recorded: what a build would find wrong with each sound, said
 * at once.
 *
 * <p>Findings (measured up to 2026-11-28 on 912 attempts, 103 of them flawed, in 46 takes of
 * recorded notes in recorded and artificial rooms):
 *
 * <ul>
 *   <li><b>One judge.</b> Told by the segmenter's flags alone, 34 of the 103 flawed attempts were
 *       doubted at once and 783 of 809 clean ones called good; by the build's own rules ({@code
 *       RegionFlags}) 81 were, and 794; since knocks are heard to the millisecond 93 and 795; with
 *       how notes stop ({@code BrokenOff}) and what stands out of calm ones ({@code ForeignParts})
 *       95 and 800; with what is not periodic held against the take's own habit instead of those
 *       ({@code AperiodicParts}) 95 and 802. On 976 further attempts in 38 takes, on which most
 *       limits were chosen as well, 215 of 254 and 710 of 722 (189 and 708 at first); on 542 in 24
 *       takes as sessions are by default, of which nothing was known when the limits of the calm
 *       ones were chosen, 85 of 112 and 424 of 430 before, 95 and 426 now. Of 306 in 12 takes that
 *       no limit was chosen on 277 were right at once and 281 are; 13 of the 25 wrong ones lie in
 *       one take of strings that ring into each other, in which a word swallows eight notes. What
 *       stays untold at once are words in low notes, and notes broken off first in a take: the next
 *       attempt shows them.
 *   <li><b>The first notes of a take may ring.</b> Whether they are to is known from the fourth on;
 *       until then none is doubted for it (of 116 clean attempts in six takes, three of them of
 *       ringing strings, 112 are called good at once instead of 107).
 *   <li><b>What is said holds</b> ({@code ToldJudgements}). Each sound makes all that was heard be
 *       matched again; told as it came, 25 notes changed more than once, the last after 82 s. Now
 *       22 of 912 are corrected, all but one once and all within 20 s, and 6 are wrong in the end
 *       (19 before). That a note is odd in length, or seems to belong nowhere, is said at once or
 *       never: what comes later mostly takes it back.
 *   <li><b>Good at once, doubted a second later</b> (2026-11-28; {@code make_session.py}, 764
 *       attempts of 36 takes). The first ear takes what follows a note for a part of it, so that
 *       its doubts wait for the second's word; that a note is disturbed is no news once it was said
 *       to be good, unless another attempt at it shows it (of 16 such corrections 14 were wrong) or
 *       the second ear hears a word set in over it; an attempt that is no longer used keeps its
 *       doubt; and how near the room is says nothing of one attempt. Right at once were 707 and are
 *       726, right in the end 697 and 730. On 294 in 12 takes of short or ringing notes 232 and
 *       230, in the end 239 and 245: two knocks that end a note are heard by the first ear alone.
 *       The median stays 0.2 s where notes do not ring.
 *   <li><b>That a note rings on is said once it is sure</b> (2026-11-29; the same takes). The
 *       second ear cannot tell a pause of a few hundredths of a second from none, and most of what
 *       it doubted for that the last ear took back: of the 294 attempts 245 and 252 are right at
 *       once, of the 764 the same 729, in the end no more and no fewer. Two flawed attempts that
 *       were doubted for that alone are told 19 s later instead.
 *   <li><b>A word over a note is told by what sounds behind it</b> (2026-11-29; the same takes,
 *       with twelve more of short or ringing notes). Where a word breaks into a note, the note is
 *       cut there, and that a word follows was known up to 20 s later: it had been called good. The
 *       second ear hears the first second behind each note that ends without a pause: of 275 next
 *       notes three hold no pitch there (a third of the votes within 25 cents of one), of 33 words
 *       28. Of the words over notes 13 more are told at once. By the judgement that is said first
 *       of each attempt 726 and now 732 of 764 are right, 248 and 248 of 294, and 232 and 237 of
 *       295; no delay is longer. On 12 takes that no limit was chosen on it is no gain: 196 and 196
 *       of 233, two more words told and two clean notes doubted. What stays untold are strings that
 *       are heard as one behind a word; short notes of a double bass, in which no pitch is heard,
 *       are left out.
 *   <li><b>Short notes tell scratches and knocks</b> ({@code StandOut}, 2026-11-29). Nothing lies
 *       before or behind these that they could be compared with, and the attempt that would show
 *       them has not been played. What does not repeat with the note's period tells them: from 3 to
 *       7 kHz a scratch makes a note harsher than all good ones before but one, and is no softer
 *       than 24 dB under it; from 1.5 to 3 kHz a knock rises by 10 dB for 20 ms while the note goes
 *       on, or the sound by 20 dB once it is over. With what follows below, of 822 attempts in 36
 *       takes of short or ringing notes 708 were right at once and 731 are (c 267 of 294, h 255 of
 *       295, k 209 of 233): knocks 25 and 35 of 40, scratches 22 and 27 of 36, words 33 and 35 of
 *       39, clean notes 584 and 588 of 640. Of 278 in 12 takes that nobody had looked into 233 were
 *       and 244 are, clean ones 185 and 190 of 206. Of 764 in 36 takes of all sorts 736 are. Limits
 *       of 8 to 12 dB and 20 to 23 come within 3. Left out: the same from 150 to 1,500 Hz, where
 *       notes change as much by themselves; the error of a linear prediction, in which strokes of
 *       bows and bars stand out as well; the level between partials by stages, which told half as
 *       many and tells one more now.
 *   <li><b>Low notes that are over soon are known by the plan</b> ({@code PlannedPitch},
 *       2026-11-29). The windows of a double bass's notes of a third of a second do not agree on a
 *       pitch; of the periods of the notes that the sheet asks for, the one that the whole sound
 *       agrees with best was right for 13 of 13, and none of 230 other sounds that were rejected or
 *       unsure passed. Of 822 attempts in 36 takes of short or ringing notes 742 are right at once
 *       instead of 733, half of those a second sooner; one scratched note is called good. A build
 *       names them as well, or a note that was called good would be missing in the end. All three
 *       ears take 1.7 s of processor time for a minute of audio, 2.8 % of a core, as before.
 *   <li><b>What follows a note after a pause is none of it</b> ({@code Pauses}, 2026-11-29). A
 *       knock a third of a second behind a note is too soon to end its region, so that the second
 *       ear hears the note again without it: five of nine notes that were doubted for it are good,
 *       and three of three that were doubted for a word. To wait for the second ear with each note
 *       was no gain: six more flawed notes are told at once, and 17 more clean ones are doubted for
 *       what follows them.
 *   <li><b>A word close behind a note lies over its tail</b> ({@code WordBehind}, 2026-11-30),
 *       which goes on under the room. Strings and bars that die away had sunk by 5 dB over the room
 *       for 0.19 to 0.34 s before words that were spoken over them, so that a pause of 0.15 s
 *       parted these from words after notes badly in loud rooms. How long the note is heard in each
 *       band parts them better: over it a word begins within 0.17 s, after it 0.23 s and more
 *       later. In 28 takes that nobody had looked into 10 of 15 words are told instead of five, and
 *       as many clean notes are good. Words that begin once the first ear has spoken stay untold.
 *   <li><b>A room stirs behind short notes as well</b> (2026-11-29). Within 10 ms a train's or a
 *       dishwasher's rumble sinks and comes back by up to 23 dB, as a soft knock does. Of eight
 *       clean notes that rose so seven came to 10 to 13 dB over the room, of 16 knocks 15 to 17 and
 *       more: what stays within 15 dB is no knock. With strings that are heard when they are struck
 *       again, and a note played anew no longer said to begin wrong ({@code Interruptions}), 750 of
 *       the 822 attempts are right at once instead of 742, clean ones 607 instead of 600 of 640; a
 *       word that was doubted for the room alone is lost. With notes as long as their partials are
 *       heard ({@link takewright.segment}) it is 756, clean ones 612. Of 270 in 12 takes that
 *       nobody had looked into 223 were, 228 are with the first and 233 with both.
 *   <li><b>A note is held against the same note played before</b> ({@code NoisierThanBefore},
 *       2026-11-29; {@code make_session.py}, 43 takes). A bow that changes hides a word, a knock or
 *       a scratch among other notes, but not beside another attempt or dynamic of the same note: of
 *       600 clean notes that had been played before none is doubted for it, of 52 flawed ones 26
 *       are, and 17 for what comes and goes. Limits that let round robins differ by no more than 10
 *       dB doubted 15 clean ones. Short notes are compared in the same way: a bar that is harsh
 *       each time is not scratched (five of nine clean notes that were doubted are not any more),
 *       and in the second or third short note of a take a scratch is told that is 12 dB harsher
 *       than the ones before (two more).
 *   <li><b>A flawed attempt is no surplus while the one that is used is flawed too</b>
 *       (2026-11-29). Of twelve flawed attempts that were wrongly called surplus in these takes
 *       five were the second of two flawed ones, and the player would not have played the note
 *       again.
 *   <li><b>The first ear waits where few windows agree on a pitch</b> (2026-11-29): of ten notes of
 *       which less than 0.6 of the votes did, the second ear took back three, of 889 others seven.
 *   <li><b>What is split off a note later is not that note</b> (2026-11-29). A rail joint in its
 *       lead-in that the last ear heard by itself took the note's number, so that the note was
 *       taken back and told anew 20 s later, in four of 43 takes.
 *   <li><b>What these four gain</b> (2026-11-29): of 1,173 attempts and other sounds in the 43
 *       takes 1,102 were said rightly at first and 1,123 are (flawed ones 133 and 150 of 178), 56
 *       corrections became 47, and the delays are the same. In 28 mostly short takes that nobody
 *       had looked into it was 635 of 693 and is 639, flawed ones 75 and 80 of 118.
 *   <li><b>How long a short note was only the second ear knows</b> ({@code FlagsSoFar},
 *       2026-11-30): the first takes it to be 0.14 s longer, as long again. What a build would
 *       doubt if it were as short as it may be waits for the second ear. To wait for that ear with
 *       each note was no gain: of 3,349 notes that the first called good it doubts 17 of 55 flawed
 *       ones, most of them for their length, and 24 of 3,294 clean ones. Nor was waiting for 0.25
 *       to 0.8 s of quiet: five to eight flawed ones are told, and three to twelve clean ones
 *       doubted.
 *   <li><b>What is surplus is settled when it is played</b> ({@code StillWanted}, 2026-11-30). An
 *       attempt whose cell another fills later, one at the next note that fits no cell yet because
 *       the levels of the dynamics are still learnt, and one whose note is missing at whichever
 *       dynamic were wanted. They are judged as samples are: beside the attempt that the matching
 *       uses, clean ones seemed disturbed, and flawed ones were not looked at.
 *   <li><b>What a note goes over into is known a second later</b> (2026-11-30). The second ear cuts
 *       a string where a word begins over it, and told nothing of the syllables, which a build
 *       finds as well: of 27 words over notes that had been called good seven go over into one that
 *       is none, six of them for 0.2 to 0.5 s. So do eight of 3,573 clean notes, but the first ear
 *       calls those good before. A good note that is not told yet waits for up to 1.7 s after its
 *       end while something goes on there.
 *   <li><b>What these three gain, with what is far louder than in any note before</b> ({@code
 *       AperiodicParts}, 2026-11-30): of 1,821 attempts and other sounds in 51 takes 1,699 were
 *       said rightly at first and 1,719 are (flawed ones 304 and 317 of 389, clean ones 1,395 and
 *       1,402 of 1,430), with 93 corrections instead of 115. The median stays 0.24 s, 95 % are said
 *       within 1.6 s instead of 1.5. A build of 72 takes is the same.
 *   <li><b>A flawed attempt is no surplus while a round robin is missing</b> ({@code StillWanted},
 *       2026-11-30). The matching may take it for one more attempt at the round robin before: eight
 *       of 303 flawed attempts in 67 takes were called surplus for it, and the player would have
 *       gone on. Nor is a good one: it is matched at the dynamic before where the first attempt at
 *       its own was broken off (two of 2,254 attempts in 72 takes).
 *   <li><b>How late a pitch comes counts from the onset</b> ({@code ForeignParts}, 2026-11-30).
 *       With what the room does before it, clean notes seemed late by up to 1.5 s, so that this
 *       told as many of them as notes begun on another. From the onset on no clean note of 72 takes
 *       is late by more than 0.28 of the time for which it is heard, and five that began wrong and
 *       had been called good are told, in 96 takes.
 *   <li><b>A word that holds a pitch by chance is nothing to play again</b> ({@code Judgement},
 *       2026-11-30): five sounds between two notes, in 72 takes, are said to be one too many. With
 *       all of this 1,086 of 1,134 attempts and other sounds in 36 takes are said rightly at once
 *       instead of 1,079 of 1,138; in 28 takes that nobody had looked into 650 of 690 are, as
 *       before.
 *   <li><b>The next note is no knock behind a note</b> (2026-11-30): in a take of bars that ring
 *       into each other five of 26 clean notes were doubted for 0.02 s of it.
 *   <li><b>What these gain, with creaks far below the notes that fill no cell</b> (2026-11-30): of
 *       774 attempts and other sounds in 24 further takes 720 were said rightly at first, of 772
 *       now 734 (flawed ones 98 and 105 of 125, clean ones 622 and 629 of 644), with 37 corrections
 *       instead of 45 and the same delays; in 79 takes that limits were chosen on as well 2,185 of
 *       2,310 and 2,206 of 2,306 (flawed ones 285 and 303 of 353, clean ones 1,900 and 1,903 of
 *       1,945). In 28 mostly short takes that nobody had looked into it was 639 of 693 and is 648
 *       of 690 (flawed ones 80 and 89 of 118, clean ones 559 of 570 as before). What stays untold
 *       are flaws in bars and strings that ring into each other, and knocks, scratches and wrong
 *       beginnings no louder than what the instrument does by itself, until the same note comes
 *       again. Left out: what is heard beside a note held against the six nearest before (one more
 *       told, three clean ones doubted); sounds that fill no cell taken for the next note (none).
 *   <li><b>What was played again shows nothing of how notes are</b> ({@code FlagsSoFar},
 *       2026-11-30). Attempts that were wanted until a later one replaced them counted as notes of
 *       the take, so that a second one that was broken off was as long as the first. Now only what
 *       is used does; a note that stops half way beside two whole ones near it is told ({@code
 *       BrokenOff}). In 59 takes in rooms as before, of 1,831 attempts and other sounds 1,756 were
 *       said rightly at first and 1,764 are (flawed ones 278 and 286 of 328, clean ones 1,478 both
 *       times, of 1,498); in 45 in rooms of kinds that had not been followed (rain, a fan, a clock,
 *       traffic, birds, wind, hum, typing) 943 of 1,027 and 953 (149 and 153 of 183, 794 and 800 of
 *       834), with the same delays. In 21 that nobody had looked into it is 543 of 566, as before.
 *       Of the 159 wrong ones before, 54 were notes that touch another; ten could not be known:
 *       five were told before the word or knock over them was over, and of five that were broken
 *       off no note nearby had been heard. Left out: to call a flawed attempt at a full cell flawed
 *       rather than one too many, which would ask for what is not needed.
 *   <li><b>What is known 20 s after a note is no word on it any more</b> ({@code ToldJudgements},
 *       {@code ToldNotes}, 2026-11-30): the player has gone on. The last ear decides 20 s after
 *       what it hears, so that most of its 46 corrections in 104 takes came 20.0 to 21.3 s after
 *       the end of the note, and what it took back up to 28 s after it. Of clean notes they put
 *       eight right and 18 wrong, of flawed ones eight and two. Now time runs from the end of the
 *       note; what comes later changes the cells and flags alone, a note that is heard no longer
 *       keeps its line until the take is over, and noises that only the last ear hears are told
 *       once it is.
 *   <li><b>What the room knocks over the first notes, the pauses before them show</b> ({@code
 *       RoomBlows}, 2026-11-30). What notes have beside them a take shows only after some, so that
 *       rain and a boat's creaks passed for knocks over five clean notes of four takes, and a knock
 *       over the very first note was told in neither of two. The blow is looked for in the last 10
 *       s of pauses: in rain there were 2 to 15 as loud a second, with a clock 0.3 to 1, before
 *       knocks in quiet rooms none. So no blow is held against a note in a room that has two of
 *       them, and one each 2 s; over a first note it is told where 2.5 s of pause have none. Of 412
 *       attempts and other sounds in the 15 takes that have such blows over notes and were run
 *       again 378 were said rightly at first and 385 are (clean ones 310 and 315, flawed ones 68
 *       and 70).
 *   <li><b>What the player leaves out does not make the next notes surplus</b> ({@code
 *       StillWanted}, 2026-11-30): where the loud one of a note was still missing, the soft ones of
 *       the next two notes fitted no cell until a later one was heard. In 64 takes two more are
 *       right at first, and no word passes for a note.
 *   <li><b>What each rule tells that no other does</b> (2026-11-30; 168 takes, 705 flawed and 3,618
 *       clean attempts): an odd length or a note broken off 77 flawed ones and five clean ones, all
 *       five put right when the next notes are heard; a word behind the note 43 and four; more
 *       beside it than any note has 27 and none; a scratch in a short note 18 and none; what comes
 *       and goes beside it 16 and seven; a wrong beginning 15 and none; a blow ten and two; more
 *       than when it was played before nine and one; a pitch that comes late five and three;
 *       another sound that follows five and one; a rise behind a short note four and two, within it
 *       two and one. Of the seven clean ones beside which something comes and goes six are good
 *       now, and one flawed one is, since one measure below the high band is not enough. A blow
 *       that is sharper than over the same note before told 50 flawed ones, none of them alone, and
 *       one clean one: it was left out. So was whether a sound that fits no cell may be at the last
 *       note, which changed no word.
 *   <li><b>What cannot be known at once.</b> In these takes 176 of 4,343 first words were wrong. 63
 *       flawed attempts nothing tells but a later one, 15 were said to be good before the word or
 *       the blow began, and of 48 attempts a build that has heard the whole take says the same:
 *       seven of ten in all (2026-11-30).
 *   <li><b>Waiting longer gains nothing.</b> Of 962 attempts and other sounds in 36 takes 915 are
 *       said rightly as it is. Were every word held back until 1.7, 2, 2.4 or 2.9 s after the note,
 *       916, 917, 916 and 914 would be, flawed ones five more and clean ones four to six fewer:
 *       what comes next shows a note to be broken off, and seems to disturb others. Were doubts
 *       alone held back, it would be 915, 916, 917 and 915; the words on notes that another touches
 *       alone, 916, 916, 915 and 913 (2026-11-30).
 *   <li><b>Three ears.</b> The first cannot tell a note that begins a third of a second after
 *       another from more of that one, and the third comes after 20 s: ten notes were never told in
 *       time, and 95 % of all 11 s after their end. With a second ear that looks a second ahead
 *       ({@code LiveSegment}) it is 1.3 s, and half of them 0.2 s. That ear knows the room by what
 *       was before alone, or it would take a held note for the room. By the wall clock, two takes
 *       played at their own speed: median 0.21 s, 95 % 0.27 s.
 * </ul>
 */
package takewright.library.follow;
