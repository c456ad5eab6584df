/**
 * Lays samples on the keys, writes them as a DLS Level 2 instrument, and plays notes through them.
 *
 * <p>Finding (2026-11-25): the JDK's synthesiser ignores the gain in {@code wsmp} and the channels
 * of linked waves, so gain and pan are written into the articulation. Velocity sets the level
 * unless a connection of scale 0 says otherwise, which is written where there are samples at
 * several dynamics.
 *
 * <p>Finding (2026-11-27): with a resonance that is fixed, the JDK's filter lowers the sound by
 * half of it even where the cutoff is open, as the standard asks; so the wheel brings the resonance
 * in together with the cutoff. The wheel's default vibrato is taken out by a connection of scale 0.
 * Pan and the send to the reverberation by controllers 10 and 91 are defaults of the standard, and
 * are not written: the JDK's synthesiser counts pan from the left, and an explicit connection would
 * move the sound there.
 */
package takewright.map;
