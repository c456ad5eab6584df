/**
 * Making samples: from a region and a cell to a finished file, and the further layers made from it.
 */
package takewright.library.sample;
