/** A take that is followed while it is recorded. */
package takewright.library.follow;
