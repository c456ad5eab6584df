/**
 * What a pitch, a note's pitch and a kind of sound are, and how a pitch is detected and tracked.
 * Everything here takes audio and returns facts; it knows no region, no sample and no sheet.
 *
 * <p>Findings that shaped the pitch detector (measured up to 2026-11-25 on the 60 recordings of
 * violin, double bass and saxophone that the tests fetch, as they are and moved by 12 intervals
 * from three octaves down to three up):
 *
 * <ul>
 *   <li><b>One detector does not span 16 Hz to 8 kHz:</b> it would need a long window and a fine
 *       grid at once. The usual range has its own; above 600 Hz windows are put between
 *       (DenseWindows), and below 75 Hz a longer window is tried where the votes disagree.
 *   <li><b>Votes of YIN's dips name the note.</b> The sum of harmonics slips octaves where the
 *       votes do not. For chords it is the other way round: a chord of small ratios has the period
 *       of a note that nobody plays, so chords use the sum (HarmonicSum).
 *   <li><b>Accuracy.</b> Right notes: 60 of 60 as recorded, 688 of 688 moved ones within 16.5 to
 *       7800 Hz; error against the clean recording 0.05 cents in the median and 3.4 cents at 95 %.
 *       TarsosDSP on 701 moved cases: YIN 698 right (0.46 and 7.7 cents), MPM 570 right with 119
 *       unheard. With room tone 10 dB below the note no name changed; the error at 95 % was 0.3
 *       cents here, 8.2 (YIN) and 4.3 (MPM).
 *   <li><b>Windows average over 1.13 of the longest period,</b> which fits a transform of half the
 *       size that 1.5 needs, at the same accuracy on 37 takes.
 *   <li><b>A violin moved up by octaves</b> is up to 17 cents off, because the vibrato then swings
 *       several times within a window. More windows change nothing; shorter windows do.
 *   <li><b>Long notes take the median window,</b> unweighted: weighting by level favours one side
 *       of a vibrato (violin: 1.15 cents in the median and 3.83 at 95 %, against 0.64 and 2.12).
 *   <li><b>Short notes</b> (NoteFrequency, 2026-11-27) leave the first 80 ms out and are weighted
 *       by clarity, recency and, a little, by level, in windows half as long, whose length follows
 *       the note and not the region. Ten takes of staccatos and notes of 0.3 s on violin and double
 *       bass, at -50 to -66 dBFS of room: files off by 0.8 to 1.7 cents in the median and 4.2 to
 *       9.0 at 95 % (2.1 to 3.3 and 7.8 to 13.9 with 30 ms left out, the loudness as the weight and
 *       windows by the region). Choosing it on six takes and looking at four others gave the same
 *       figures. More weight on the end agrees better with the pitch over the whole file, less
 *       repeats better from one round robin to the next; the end counts less here than published.
 *   <li><b>Stated uncertainty</b> (2026-11-28): of 566 notes of 15 takes (staccatos, notes of 0.3 s
 *       and held ones; violin, double bass, saxophone; even rooms, air conditioning, dishwasher,
 *       train) 73 % were within what was stated and 94 % within twice that, measured by an
 *       autocorrelation of the clean take; by take 0.47 (violin beside a dishwasher) to 1.
 *   <li><b>Bars</b> (WindowSpectrum, 2026-11-28): a period is not the pitch of partials that are
 *       not harmonic. Of 2075 cases of nylon guitar, vibraphone and marimba (moved by octaves, cut
 *       to 0.3 and 0.15 s, in a recorded room 40, 20 and 10 dB below) 1888 are named rightly and
 *       129 wrongly. Partials count as not harmonic from 26 cents on: from 14 on (1891 and 126), 11
 *       of 168 staccatos of violin and double bass, whose attacks glide, passed for bars and were
 *       tuned by their fundamental alone, 10 to 20 cents off. Taking the fundamental that several
 *       partials share instead put held violins 6 cents off at 95 %. Below 160 Hz strings that ring
 *       together pass for bars, so there the period decides.
 *   <li><b>Bars whose partials are nearly harmonic</b> ({@code Resonances.isBar}, 2026-12-01). What
 *       is 20 cents off is told by resolved partials only: by the period of all of them one
 *       vibraphone bar was tuned 7, 13 and 21 cents low at its three dynamics, and its fundamental
 *       repeats to 0.1 cents. Of 1,426 notes of 80 takes 17 were more than 5 cents from their
 *       repetitions, now 15; no bowed or blown one moves by more than a cent. To take the
 *       fundamental of all that rings put plucked strings 3 to 5 cents off. Bars that the room
 *       covers, or that stay under the share of steady partials, are as before.
 *   <li><b>What rings</b> (Resonances, 2026-11-28): a window as long as the sound rings takes its
 *       partials apart, and the shape that explains most of their power names it. Of computed bells
 *       and chimes (354 cases, clean and 20 dB above a room) 331 are named rightly and 7 wrongly (8
 *       and 315 by votes alone), of 60 computed taps 17 are named (56). A kettledrum is still named
 *       an octave low: its modes are too near to 2 : 3 : 4. A sound that does not fall, or that has
 *       more than 16 partials, is left to the votes, or sympathetic strings would pass for bells.
 *   <li><b>Low bars</b> ({@code PitchOfNote.ofBar}, 2026-11-30). Below 160 Hz windows take the
 *       period that all partials of a bar share for its note: one at 1 : 4 : 9 2/3 was heard an
 *       octave and a fifth low in all 12 clean notes of 6 takes. A region is now named by its
 *       resolved partials too, where the period is several of a bar's; all 12 are right, and no
 *       name changed in 260 other takes. To take such a bar for the note whatever the period was
 *       named short notes for a string that rang over them. Where a sound is over too soon to take
 *       the harmonics of its period apart, none of them seems to be there: short low reeds whose
 *       second or third harmonic is strong passed for bars, an octave or a twelfth high, and now
 *       keep their period (2026-12-01).
 *   <li><b>Notes under which others ring</b> (OwnPartials, CommonPeriod, 2026-11-29): an E and the
 *       B above it repeat together after three periods of the B, so the B was heard an octave and a
 *       fifth low, and a string over a lower one passed for a bar, whose lowest partial was then
 *       measured together with the lower string. Where the plan says which note it is, both are
 *       measured at its own harmonics. Of 276 notes of a nylon guitar, 5 were 19 to 2788 cents off
 *       for this, now all are within 9. With this filter for all notes nothing else came nearer
 *       (violin, double bass, saxophone, vibraphone). Of 2303 single notes, 5 (open G strings of a
 *       violin) would pass for a common period if an octave and a fifth higher were expected.
 *   <li><b>The second ear</b> (SecondEar, 2026-11-27) contradicted none of 1590 right names, at 3
 *       ms a sample.
 *   <li><b>Confidence</b> was checked on 2088 pieces of 0.12 to 1 s that it was not fitted to, in
 *       noise up to 12 dB above the note: where it says 0.75 to 0.97, 0.95 to 1.00 are right.
 * </ul>
 */
package takewright.pitch;
