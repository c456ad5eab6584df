package takewright.segment;

/**
 * What went wrong in a note, as far as it can be heard in the note alone. Bow changes and breaths
 * leave traces too, so that the figures are compared with those of other attempts.
 *
 * @param foreignDbS how much is heard beside the note's partials for a while, like a scratch, a
 *     knock or a voice: the excess over what is there before and after, in dB times seconds; of a
 *     note shorter than a second as if all of it went on for that long
 * @param foreignDb the most of that excess, in dB
 * @param knockDb how far the sharpest blow over the note stands out of what can be predicted of it,
 *     in dB; 0 where none does
 * @param wrongStartS how long the note first holds another pitch, in seconds
 * @param hiddenFrames frames at its end in which the room hides it: the tail that is only supposed
 * @param lateS how long something else is heard first, before its own pitch, in seconds
 * @param behindDbS how much something else rises as it dies away, in dB times seconds
 * @param places where in the take these are heard
 */
public record Blemishes(
    double foreignDbS,
    double foreignDb,
    double knockDb,
    double wrongStartS,
    long hiddenFrames,
    double lateS,
    double behindDbS,
    FlawPlaces places) {
  /**
   * Where in a take what went wrong in a sound is heard; each is null where nothing is.
   *
   * @param foreign where most of what is heard beside a note lies
   * @param knock the sharpest blow over it
   * @param behind from where on something else rises as it dies away, up to its end
   * @param clipped from the first peak that is cut off to the last
   * @param gap from the first gap to the last
   */
  public record FlawPlaces(
      FrameRange foreign, FrameRange knock, FrameRange behind, FrameRange clipped, FrameRange gap) {
    /** Nowhere. */
    static final FlawPlaces NONE = new FlawPlaces(null, null, null, null, null);

    /** With peaks that are cut off, and gaps. */
    FlawPlaces withDamage(FrameRange clippedPeaks, FrameRange gaps) {
      return new FlawPlaces(foreign, knock, behind, clippedPeaks, gaps);
    }

    /** The same, counted from a beginning that lies so many frames earlier. */
    FlawPlaces later(long by) {
      return new FlawPlaces(
          later(foreign, by),
          later(knock, by),
          later(behind, by),
          later(clipped, by),
          later(gap, by));
    }

    private static FrameRange later(FrameRange range, long by) {
      return range == null ? null : range.later(by);
    }
  }

  /** Nothing is heard to be wrong. */
  public static final Blemishes NONE = new Blemishes(0, 0, 0, 0, 0);

  /** With clean edges, wherever it is. */
  public Blemishes(
      double foreignDbS, double foreignDb, double knockDb, double wrongStartS, long hiddenFrames) {
    this(foreignDbS, foreignDb, knockDb, wrongStartS, hiddenFrames, 0, 0);
  }

  /** Wherever it is. */
  public Blemishes(
      double foreignDbS,
      double foreignDb,
      double knockDb,
      double wrongStartS,
      long hiddenFrames,
      double lateS,
      double behindDbS) {
    this(
        foreignDbS,
        foreignDb,
        knockDb,
        wrongStartS,
        hiddenFrames,
        lateS,
        behindDbS,
        FlawPlaces.NONE);
  }

  /** The same at other places. */
  Blemishes at(FlawPlaces others) {
    return new Blemishes(
        foreignDbS, foreignDb, knockDb, wrongStartS, hiddenFrames, lateS, behindDbS, others);
  }
}
