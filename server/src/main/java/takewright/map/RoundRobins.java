package takewright.map;

/** What becomes of round robins in a format that has none. */
public enum RoundRobins {
  /** The first of each is written. */
  FIRST,
  /** Each is an instrument in a bank of its own. */
  BANKS
}
