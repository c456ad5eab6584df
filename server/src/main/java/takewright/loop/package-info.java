/** Loops by which a sustained note can be held, and the release of a note that is let go. */
package takewright.loop;
