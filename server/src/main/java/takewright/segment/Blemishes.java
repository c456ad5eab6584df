package takewright.segment;

import takewright.segment.flaw.NoiseCourse;

/**
 * What went wrong in a note, as far as it can be heard in the note alone. Bow changes and breaths
 * leave traces too, so that the figures are compared with those of other attempts.
 *
 * @param beginning of its first part
 * @param beside of what sounds beside its partials
 * @param ending of its last part
 * @param aperiodic of what comes and goes beside its periodic part
 * @param course of what lies between its partials, from stage to stage
 * @param places where in the take these are heard
 */
public record Blemishes(
    NoteStart beginning,
    Beside beside,
    Ending ending,
    Aperiodic aperiodic,
    NoiseCourse course,
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

    /** Whether the sharpest blow comes as the sound dies away, with what else rises then. */
    boolean isKnockBehind() {
      return knock != null && behind != null && knock.start() >= behind.start();
    }

    /** With peaks that are cut off, and gaps. */
    FlawPlaces withDamage(FrameRange clippedPeaks, FrameRange gaps) {
      return new FlawPlaces(foreign, knock, behind, clippedPeaks, gaps);
    }

    /** The same places, whose frames are counted from a point that lies this much earlier. */
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
  public static final Blemishes NONE =
      new Blemishes(
          new NoteStart(0, 0),
          new Beside(0, 0, 0),
          new Ending(0, 0, 0),
          Aperiodic.NONE,
          NoiseCourse.NONE,
          FlawPlaces.NONE);

  /**
   * How a note begins.
   *
   * @param wrongS how long it first holds another pitch, in seconds
   * @param lateS how long something else is heard first, before its own pitch, in seconds
   */
  public record NoteStart(double wrongS, double lateS) {}

  /**
   * What is heard beside a note's partials for a while, like a scratch, a knock or a voice.
   *
   * @param dbS its excess over what is there before and after, in dB times seconds; of a note
   *     shorter than a second as if all of it went on for that long
   * @param mostDb the most of that excess, in dB
   * @param knockDb how far the sharpest blow over the note stands out of what can be predicted of
   *     it, in dB; 0 where none does
   */
  public record Beside(double dbS, double mostDb, double knockDb) {
    /**
     * A blow that stands out by so much, in dB, is none of the note: of 1,650 clean notes three
     * came over that, of 68 with a soft knock 46.
     */
    public static final double KNOCK_DB = 8;
  }

  /**
   * How a note ends.
   *
   * @param hiddenFrames frames at its end in which the room hides it: the tail that is only
   *     supposed
   * @param risesDbS how much something else rises as it dies away, in dB times seconds
   * @param stopDb how far its partials fall within 60 ms where they fall fastest near its end, in
   *     dB: a note that is broken off stops, others die away, each instrument's in its own way
   */
  public record Ending(long hiddenFrames, double risesDbS, double stopDb) {}

  /**
   * What comes and goes in a note while its periodic part goes on, like a scratch, a knock or a
   * voice: how loud it is beside the note, in three bands. A note's own unrest is far softer in
   * reeds and plucked strings, and as loud where a bow changes.
   *
   * @param low from 150 to 600 Hz
   * @param middle from 600 to 1,500 Hz
   * @param high from 1,500 to 3,000 Hz
   */
  public record Aperiodic(Band low, Band middle, Band high) {
    /** Softer than this, in dB, nothing is told apart. */
    public static final double LEAST_DB = -60;

    /** Up to this much in a column of the low band, in dB relative to the note, is nothing. */
    public static final double LOW_LEAST_DB = -29;

    /** The same of the middle band. */
    public static final double MIDDLE_LEAST_DB = -28;

    /** The same of the high band. */
    public static final double HIGH_LEAST_DB = -24;

    /** Nothing is heard. */
    public static final Aperiodic NONE = new Aperiodic(Band.NONE, Band.NONE, Band.NONE);

    /**
     * By how much more comes and goes than in another note, in the band where it is most, in dB.
     */
    public double moreDb(Aperiodic other) {
      double more = low.moreDb(other.low, LOW_LEAST_DB);
      more = Math.max(more, middle.moreDb(other.middle, MIDDLE_LEAST_DB));
      return Math.max(more, high.moreDb(other.high, HIGH_LEAST_DB));
    }

    /**
     * One band.
     *
     * @param mostDb its most within a column, in dB relative to the note
     * @param allDbS its power times how long it goes on, in dB relative to a second of the note
     */
    public record Band(double mostDb, double allDbS) {
      /** Nothing is heard in it. */
      public static final Band NONE = new Band(LEAST_DB, LEAST_DB);

      private double moreDb(Band other, double leastDb) {
        return Math.max(0, mostDb - Math.max(leastDb, other.mostDb));
      }
    }
  }

  /**
   * By how much more is heard beside this note than beside another attempt at it, wherever the
   * difference is greatest, in dB; 0 or less where there is nowhere more. What the other has more
   * between its partials is taken off: something that is laid over a note only adds to it, while of
   * two notes that are merely played differently each has more somewhere.
   */
  public double moreDb(Blemishes other) {
    double more = Math.max(course.moreDb(other.course), aperiodic.moreDb(other.aperiodic));
    return more - other.course.moreDb(course);
  }

  /** The same with another beginning. */
  public Blemishes with(NoteStart other) {
    return new Blemishes(other, beside, ending, aperiodic, course, places);
  }

  /** The same with something else beside it. */
  public Blemishes with(Beside other) {
    return new Blemishes(beginning, other, ending, aperiodic, course, places);
  }

  /** The same with another ending. */
  public Blemishes with(Ending other) {
    return new Blemishes(beginning, beside, other, aperiodic, course, places);
  }

  /** The same with something else that comes and goes. */
  public Blemishes with(Aperiodic other) {
    return new Blemishes(beginning, beside, ending, other, course, places);
  }

  /** The same with another course of what lies between its partials. */
  public Blemishes with(NoiseCourse other) {
    return new Blemishes(beginning, beside, ending, aperiodic, other, places);
  }

  /** The same at other places. */
  Blemishes at(FlawPlaces others) {
    return new Blemishes(beginning, beside, ending, aperiodic, course, others);
  }
}
