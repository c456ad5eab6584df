package takewright.loop;

/**
 * A loop in a sample.
 *
 * @param start its first frame
 * @param end its last frame, played too, before it goes on at the start
 * @param fade frames before and up to {@code end} over which the sound goes over into what lies
 *     before {@code start}
 */
public record Loop(int start, int end, int fade) {
  public Loop {
    if (start < 0 || end <= start || fade < 0 || fade > start || fade > end - start) {
      throw new IllegalArgumentException(
          "no loop from " + start + " to " + end + " with a fade of " + fade);
    }
  }
}
