/** Loops by which sustained notes are held, and how long notes take to die away. */
package takewright.loop;
