package takewright.service.work;

/** Which work waits for which, by how long it takes. */
public enum Priority {
  /** A followed session: little work, but needed at once. Waits for nobody. */
  LIVE,
  /** A sample: a few milliseconds. Never waits for takes. */
  SHORT,
  /** A take: half a second or more, in time slices. */
  LONG,
  /** A library or a folder: minutes, on threads of its own. Yields to all others. */
  BATCH
}
