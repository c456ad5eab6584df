package takewright.library.folder;

/**
 * A quantity before and after something was done to the sound; null if it is not known.
 *
 * @param before of the region in the take
 * @param after of the sample as written
 */
public record BeforeAfter(Double before, Double after) {
  public static final BeforeAfter UNKNOWN = new BeforeAfter(null, null);

  public BeforeAfter withBefore(Double other) {
    return new BeforeAfter(other, after);
  }
}
