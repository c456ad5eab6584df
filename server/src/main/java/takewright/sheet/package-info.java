/**
 * The plan of a library: its types, how it is read, and what may be wrong with it or with its
 * takes.
 */
package takewright.sheet;
