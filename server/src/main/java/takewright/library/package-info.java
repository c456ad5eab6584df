/**
 * A build: the order of its work, its workers, the matching of regions with cells, the output
 * folder and its tables.
 *
 * <p>Findings (measured up to 2026-11-27):
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
 *   <li><b>A take must keep its size and time while it is built from;</b> otherwise half of the
 *       samples could come from another recording.
 *   <li><b>Killed builds:</b> 200 kills at random moments, each continued to the same bytes ({@code
 *       -Dtakewright.kills=200}, {@code BuildFaultsTest}). Kills come after a number of signs of
 *       progress, since kills after a time met a build only on an equally fast machine.
 *   <li><b>Where the processor time goes</b> (held notes, 10.8 min, warm, with the page): cutting
 *       26 %, noise reduction 25, measuring 14, loops 12, page 9, tuning 8, key map 2. The longest
 *       take is cut first and DLS files are written at once, or one core waits at the end.
 *   <li><b>A cold build</b> of 10.8 min spends 9.3 of 17 s of processor time in HotSpot's C2,
 *       spread over 540 methods. C1 alone takes 12.3 s of wall clock instead of 9.2; C2 alone 8.3,
 *       but short commands then run in the interpreter. An ahead-of-time cache of Java 25 makes it
 *       8.0 instead of 9.1.
 *   <li><b>Audits of made folders</b> (recordings moved; other tunings, levels, rooms, rates,
 *       names): all of 193 faulty files in 30 folders found, 1 of 418 good files accused; none of
 *       600 in 30 folders without faults. A level outlier must show in two measures, since a note
 *       an octave too low is also heard as softer. Low staccatos are beyond it: of 44 of a double
 *       bass, 19 were accused of another octave or of no pitch.
 *   <li><b>Files are renamed by way of a third name.</b> Straight renames cannot swap two files,
 *       and on file systems that ignore case cannot change case. The third name also marks an
 *       interrupted run.
 * </ul>
 */
package takewright.library;

import takewright.library.match.Bars;
import takewright.library.match.PlayedOrder;

