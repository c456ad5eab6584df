/**
 * An existing folder of samples, compared with its own names: what is wrong, missing, twice there
 * or out of line, and a plan to rename what is named wrongly.
 *
 * <p>Findings (measured up to 2026-11-27):
 *
 * <ul>
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
package takewright.audit;
