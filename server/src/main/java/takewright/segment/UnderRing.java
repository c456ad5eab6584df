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

  /** What its windows agree on. */
  PitchTrack pitch() {
    return pitch;
  }

  /**
   * Whether what is heard of both notes is but the period that they have in common: that of a low
   * note of which either is a partial.
   *
   * @param together what is heard of both
   * @param beside what is heard beside the one that rings
   */
  boolean isCommon(PitchTrack.Summary together, PitchTrack.Summary beside) {
    return beside.share() >= MIN_SHARE
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
