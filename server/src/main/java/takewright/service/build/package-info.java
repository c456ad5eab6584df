/**
 * Builds as the service runs them: started, watched, stopped, resumed, and their pages shown.
 *
 * <p>What a decision on a page makes again is no job of its own: it belongs to the page, is stopped
 * by the next decision, and nobody waits for its result but the page. Of a take of 437 s with two
 * microphones and three layers, a decision about one note of 16 s costs 2.2 s of processor time
 * (3.8 s before takes were remembered), most of it for the note itself.
 */
package takewright.service.build;
