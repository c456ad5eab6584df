package takewright.service;

/** How long work takes, and so who waits for whom. */
enum Lane {
  /** Listening along while someone plays: little to do, but at once. Waits for nobody. */
  LIVE,
  /** A sample: some milliseconds. Never waits for takes. */
  SHORT,
  /** A take: a good part of a second or more, in slices. */
  LONG,
  /** A library or a folder: minutes, on threads of its own. Steps aside for all others. */
  BATCH
}
