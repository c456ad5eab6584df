/**
 * What another thread may do of the cutting, ahead of the one that decides: transforms and pitches.
 *
 * <p>Each part is done by whichever of the two comes to it first, from samples of its own, so that
 * the cuts are the same to the bit whether there is another thread or not.
 */
package takewright.segment.ahead;
