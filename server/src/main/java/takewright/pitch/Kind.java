package takewright.pitch;

/** How a region is to be treated. */
public enum Kind {
  /** One note with one pitch. */
  PITCHED,
  /** A hit or knock without a pitch. */
  UNPITCHED,
  /** Several notes that belong together and stay one region. */
  PHRASE,
  /** One note whose pitch moves on purpose. */
  GLIDE,
  /** Several pitches at once. */
  CLUSTER;

  /** The word for it in sheets and tables: its name in lower case. */
  public String word() {
    return name().toLowerCase(java.util.Locale.ROOT);
  }
}
