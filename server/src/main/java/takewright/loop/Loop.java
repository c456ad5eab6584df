package takewright.loop;

/**
 * A loop in a sample, as the RIFF {@code smpl} chunk counts it: both ends are played.
 *
 * @param start its first frame
 * @param end its last frame; the first is played next
 * @param fade frames of each cross-fade: over the last of the loop the sound goes over into what
 *     lies before {@code start}, and over the first behind the loop it goes back into what was
 *     recorded there
 */
public record Loop(int start, int end, int fade) {
  public Loop {
    if (start < 0 || end <= start || fade < 0 || fade > start || fade > end - start) {
      throw new IllegalArgumentException(
          "no loop from " + start + " to " + end + " with a fade of " + fade);
    }
  }

  /** Frames that are played each time round. */
  public int length() {
    return end + 1 - start;
  }
}
