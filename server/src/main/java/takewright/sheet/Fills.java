package takewright.sheet;

/** What a take does with cells that other takes ask for as well. */
public enum Fills {
  /** It has cells of its own; no other take may ask for them. */
  OWN,
  /** It fills those that other takes leave empty. */
  GAPS,
  /** It fills any of them: its regions replace those of other takes. */
  ANY;

  /** Whether it is a pick-up: played later, into a library that other takes make. */
  public boolean isPickUp() {
    return this != OWN;
  }
}
