package takewright.segment;

import takewright.dsp.Cents;
import takewright.pitch.PitchDetector;
import takewright.pitch.PitchTrack;
import takewright.segment.room.Columns;

/**
 * The pitch of a note that begins while another rings, heard through a {@link Comb} that takes the
 * partials of the other away. Two notes together have the period of a lower one that nobody plays.
 */
final class UnderRing {
  /** Share of its votes from which on a pitch is one. */
  static final double MIN_SHARE = 0.42;

  /**
   * From this share on another note is sure, though the one that rings agrees better: of three soft
   * notes it was 0.73 to 0.8, of 30 strokes of the same note 0.55 at most.
   */
  private static final double SURE_SHARE = 0.65;

  /** How far a pitch lies off a multiple of another, in cents. */
  private static final double OFF_CENTS = 40;

  private final double hertz;
  private final PitchTrack pitch = new PitchTrack();
  private final Comb comb = new Comb();
  private float[] window = new float[0];

  /**
   * @param hertz pitch of the note that rings
   */
  UnderRing(double hertz) {
    this.hertz = hertz;
  }

  /**
   * What rings into a note: the one before it, unless that has stopped and an earlier one is heard
   * last.
   *
   * @param before pitch of the one before, in hertz
   * @param last pitch that is heard last, in hertz; 0 for none
   */
  static double heardLast(double before, double last) {
    boolean isOther = last > 0 && HeldPitch.isAnother(before, last) && !isPartial(before, last);
    return isOther ? last : before;
  }

  /** What its windows agree on. */
  PitchTrack pitch() {
    return pitch;
  }

  /**
   * Whether what is heard beside the note that rings is rather the new note than what is heard of
   * both: where it agrees better, where the other is but a period that both notes have in common,
   * or where the other is what rings and this another note for certain.
   *
   * @param together what is heard of both
   * @param beside what is heard beside the one that rings
   */
  boolean isNote(PitchTrack.Summary together, PitchTrack.Summary beside) {
    boolean isHidden =
        beside.share() >= SURE_SHARE
            && !HeldPitch.isAnother(hertz, together.frequencyHz())
            && HeldPitch.isAnother(hertz, beside.frequencyHz());
    return beside.share() > together.share() || isHidden || isCommon(together, beside);
  }

  /**
   * Whether what is heard of both notes is but the period that they have in common: that of a low
   * note of which either is a partial.
   */
  private boolean isCommon(PitchTrack.Summary together, PitchTrack.Summary beside) {
    return beside.related() >= MIN_SHARE
        && together.share() > 0
        && isPartial(hertz, together.frequencyHz())
        && isPartial(beside.frequencyHz(), together.frequencyHz());
  }

  private static boolean isPartial(double hertz, double fundamental) {
    double ratio = hertz / fundamental;
    long whole = Math.round(ratio);
    return whole >= 2 && Cents.apart(ratio, whole) <= OFF_CENTS;
  }

  /** Listens around a column. */
  void add(long column, Columns columns, PitchDetector detector) {
    int length = detector.window();
    if (window.length != length) {
      window = new float[length];
    }
    long centre = column * columns.hop();
    comb.copy(columns.audio(), centre, columns.sampleRate() / hertz, window);
    pitch.add(centre, detector, detector.find(window, 0));
  }
}
