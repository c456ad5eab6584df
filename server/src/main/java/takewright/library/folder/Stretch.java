package takewright.library.folder;

/**
 * The part of a take that a row of an index is about. Times are null if no region was found.
 *
 * @param take the take, as the sheet names it
 * @param startS first frame of the region in the take, in seconds
 * @param onsetS its onset in the take, in seconds
 * @param endS its end in the take, in seconds
 */
public record Stretch(String take, Double startS, Double onsetS, Double endS) {
  public static Stretch nowhere(String take) {
    return new Stretch(take, null, null, null);
  }
}
