/**
 * File names from facts, and facts from file names.
 *
 * <p>{@link takewright.name.Name#format} and {@link takewright.name.Name#parse} are inverse to each
 * other: a name reads back to the facts it was made from, or it is refused.
 */
package takewright.name;
