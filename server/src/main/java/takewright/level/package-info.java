/**
 * Levels of the samples of one articulation against each other: round robins alike, the keyboard
 * even, the dynamics apart as they were played.
 */
package takewright.level;
