/** A phrase played through the finished samples of an output folder. */
package takewright.render;
