/**
 * What can be wrong with a session, and what to do about it: flags mark single regions and samples,
 * problems stop a piece of work. Both are types; each text that a person or a program gets to see
 * is rendered from them.
 */
package takewright.diagnosis;
