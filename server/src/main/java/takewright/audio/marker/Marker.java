package takewright.audio.marker;

/**
 * A marker of a WAV file: a point of its {@code cue } chunk with what the list {@code adtl} says
 * about it.
 *
 * @param frame where it stands, from 0
 * @param length length of the stretch that it begins, in frames ({@code ltxt}); 0 for a point
 * @param label its name ({@code labl}); empty if it has none
 * @param note a comment ({@code note}); empty if it has none
 */
public record Marker(long frame, long length, String label, String note) {
  public Marker {
    if (frame < 0 || length < 0) {
      throw new IllegalArgumentException(
          "a marker must stand at frame 0 or later, not at " + frame + " with length " + length);
    }
  }

  /** First frame after the stretch; the marker's own frame for a point. */
  public long end() {
    return frame + length;
  }
}
