package takewright.denoise.room;

import takewright.denoise.band.Parts;
import takewright.denoise.band.ThirdOctaves;

/**
 * Follows the level of the room from frame to frame, under notes too, as far as it can be heard.
 *
 * <p>The track of the room says which level is to be expected, and how far it may be off. What lies
 * between the partials says which level there is, and how far that may be off; the two are weighed
 * by their variances. A band that stands higher than the room is likely to does not tell of the
 * room but of bow, breath or dense partials: there the expected level holds. One that lies lower is
 * believed, so that no more is taken away than is there.
 */
public final class LevelFollower {
  /** Frames that a level is heard over, and how many of them lie after the one it is for. */
  static final int FRAMES = 5;

  public static final int LATENCY = FRAMES / 2;

  /**
   * Up to this many standard deviations higher a level is the room's; from this many more on it is
   * not. In a note it is the sooner the note's own.
   */
  private static final double BELIEVED = 2;

  private static final double BELIEVED_IN_NOTE = 1.5;
  private static final double DOUBTED = 2;

  private final ThirdOctaves bands;
  private final float[] offset;
  private final float[][] means;
  private final float[] weighed;
  private final Parts parts;
  private final float[] heard;
  private final double[] noise;
  private long frame;

  /**
   * @param offset what the room alone is heard as, by band, in dB: 0 but for what is not Gaussian
   */
  LevelFollower(ThirdOctaves bands, int bins, float[] offset) {
    this.bands = bands;
    this.offset = offset;
    means = new float[FRAMES][bands.count()];
    weighed = new float[bins];
    parts = new Parts(bins);
    heard = new float[bands.count()];
    noise = new double[bands.count()];
    for (int b = 0; b < noise.length; b++) {
      noise[b] = NoiseLevel.VARIANCE_OF_BIN / FRAMES / bands.width(b);
    }
  }

  /** Clears the state. */
  void reset() {
    frame = 0;
  }

  /** Takes the next frame: power over expected noise power of each bin. */
  void add(float[] ratios) {
    NoiseLevel.weigh(ratios, weighed);
    parts.take(weighed);
    bands.means(parts, means[(int) (frame++ % FRAMES)]);
  }

  /**
   * The levels of the frame {@link #LATENCY} frames back.
   *
   * @param deviations how far the level may be off the expected one, by band, in dB
   * @param inNote whether a note is plain to see
   * @param corrections receives how much louder than expected the room is, by band, in dB
   */
  void corrections(float[] deviations, boolean inNote, float[] corrections) {
    int n = (int) Math.min(frame, FRAMES);
    for (int b = 0; b < corrections.length; b++) {
      float sum = 0;
      for (int i = 0; i < n; i++) {
        sum += means[i][b];
      }
      heard[b] = (float) NoiseLevel.db(sum / n) - offset[b];
    }
    double last = (inNote ? BELIEVED_IN_NOTE : BELIEVED) + DOUBTED;
    for (int b = 0; b < corrections.length; b++) {
      double level = heard[b];
      double prior = deviations[b] * deviations[b];
      double total = prior + noise[b] * FRAMES / n;
      double off = level / Math.sqrt(total);
      double belief = Math.max(0, Math.min(1, (last - off) / DOUBTED));
      // Nothing but the room makes a band softer: what contradicts the track downwards is believed.
      double certain = Math.max(0, Math.min(1, (-off - BELIEVED) / DOUBTED));
      double weight = belief * (certain + (1 - certain) * prior / total);
      corrections[b] = (float) (weight * level);
    }
  }

  /** What {@link #corrections} heard: the level of each band over the expected one, in dB. */
  float[] heard() {
    return heard;
  }
}
