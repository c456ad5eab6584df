/**
 * Whole libraries: the sheet that plans one, the check of a sheet and its takes, and the index of
 * what came of it.
 */
package takewright.library;
