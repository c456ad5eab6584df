package takewright.segment;

import takewright.pitch.PitchDetector;
import takewright.pitch.PitchTrack;
import takewright.segment.room.Columns;

/**
 * The pitch of a note that begins while another rings, heard through a comb filter that takes the
 * partials of the other away: the difference of the samples one of its periods apart. Two notes
 * together have the period of a lower one that nobody plays.
 */
final class UnderRing {
  private final double hertz;
  private final PitchTrack pitch = new PitchTrack();
  private float[] samples = new float[0];
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

  /** Listens around a column. */
  void add(long column, Columns columns, PitchDetector detector) {
    double period = columns.sampleRate() / hertz;
    int whole = (int) period;
    float part = (float) (period - whole);
    int length = detector.window();
    int before = whole + 1;
    if (samples.length < before + length) {
      samples = new float[before + length];
      window = new float[length];
    }
    long centre = column * columns.hop();
    columns.audio().copy(centre - length / 2 - before, samples, before + length);
    for (int i = 0; i < length; i++) {
      int at = before + i;
      float earlier = samples[at - whole] + part * (samples[at - before] - samples[at - whole]);
      window[i] = samples[at] - earlier;
    }
    pitch.add(centre, detector, detector.find(window, 0));
  }
}
