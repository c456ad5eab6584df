/**
 * A call from its first message to its last answer, with audio streamed or read from a file, and
 * one small adapter per operation.
 */
package takewright.service.call;
