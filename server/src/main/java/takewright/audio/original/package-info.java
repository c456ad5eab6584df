/**
 * Writing that takes nothing away: files appear whole or not at all, a file that Takewright did not
 * write is never written over, and a path that is swapped meanwhile leads nowhere else.
 *
 * <p>{@link takewright.audio.original.Originals} is the one place that decides whose a file is, by
 * the mark in it; {@link takewright.audio.original.AtomicFile} writes; {@link
 * takewright.audio.original.CheckedFile} reads, deletes and renames; {@code HeldFolder} opens files
 * relative to their folder.
 */
package takewright.audio.original;
