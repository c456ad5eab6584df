/**
 * Lays samples on the keys, writes them as a DLS Level 2 instrument, and plays notes through them.
 *
 * <p>Finding (2026-11-25): the JDK's synthesiser ignores the gain in {@code wsmp} and the channels
 * of linked waves, so gain and pan are written into the articulation. Velocity sets the level
 * unless a connection of scale 0 says otherwise, which is written where there are samples at
 * several dynamics.
 */
package takewright.map;
