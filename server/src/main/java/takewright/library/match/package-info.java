/**
 * Which region fills which cell, by what was heard, the sheet's order and a person's decisions.
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
 * </ul>
 */
package takewright.library.match;
