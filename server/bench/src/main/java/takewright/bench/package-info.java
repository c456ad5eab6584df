/**
 * Speed and strength: how fast the operations, the build and the service are, beside
 * general-purpose tools of the same tasks, and fuzzing of whatever reads what others wrote.
 */
package takewright.bench;
