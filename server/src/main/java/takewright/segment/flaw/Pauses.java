package takewright.segment.flaw;

/**
 * Pauses in a stretch of sound in which nothing is heard but the room: what begins behind one does
 * not sound together with what was before it.
 */
public final class Pauses {
  /** Power is looked at over so long, in seconds, and at every third of that. */
  private static final double LOOK_S = 0.03;

  /** A sound has sunk into the room where its power is below this multiple of the room's (5 dB). */
  private static final double SUNK = 3;

  /** Its power must have fallen to this share of what it was (-17 dB): a soft note is no pause. */
  private static final double FAR_BELOW = 0.02;

  /**
   * What begins behind a pause of so long is no part of the note, in seconds: before 19 of 20 words
   * that were spoken after notes it lasted for 0.17 and more.
   */
  private static final double PAUSE_S = 0.15;

  /**
   * Something begins behind a pause where the power rises to this multiple of the room's (9 dB).
   */
  private static final double BEGINS = 8;

  private final float[] powers;
  private final int step;
  private final double sunk;

  /**
   * Of a stretch of sound.
   *
   * @param sound its samples
   * @param room power of the room
   * @param loud power of what sounds in it while it is loud
   */
  public Pauses(float[] sound, int sampleRate, double room, double loud) {
    step = (int) (LOOK_S / 3 * sampleRate);
    powers = new float[Math.max(0, sound.length / step - 2)];
    for (int i = 0; i < powers.length; i++) {
      float sum = 0;
      for (int k = i * step; k < (i + 3) * step; k++) {
        sum += sound[k] * sound[k];
      }
      powers[i] = sum / (3 * step);
    }
    sunk = Math.min(SUNK * room, FAR_BELOW * loud);
  }

  /** How long the longest stretch is in which nothing is heard, in seconds. */
  public double longestS() {
    int still = 0;
    int longest = 0;
    for (float power : powers) {
      still = power < sunk ? still + 1 : 0;
      longest = Math.max(longest, still);
    }
    return longest * LOOK_S / 3;
  }

  /** The sample at which the first pause ends, if something begins there; -1 otherwise. */
  public int endBeforeMore() {
    int end = firstEnd();
    double most = 0;
    for (int i = Math.max(0, end); i < powers.length; i++) {
      most = Math.max(most, powers[i]);
    }
    return end >= 0 && most > BEGINS / SUNK * sunk ? end * step : -1;
  }

  /** The look at which the first pause ends; -1 where there is none. */
  private int firstEnd() {
    int still = 0;
    for (int i = 0; i < powers.length; i++) {
      boolean isSunk = powers[i] < sunk;
      if (!isSunk && still * LOOK_S / 3 >= PAUSE_S) {
        return i;
      }
      still = isSunk ? still + 1 : 0;
    }
    return still * LOOK_S / 3 >= PAUSE_S ? powers.length : -1;
  }
}
