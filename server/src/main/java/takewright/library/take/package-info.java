/**
 * Takes as a build reads them: cut into regions and matched, with the room tone of each microphone
 * and the levels of all regions, and watched so that none changes while it is built from.
 *
 * <p>Findings (measured up to 2026-11-27):
 *
 * <ul>
 *   <li><b>A take must keep its size and time while it is built from;</b> otherwise half of the
 *       samples could come from another recording.
 * </ul>
 */
package takewright.library.take;
