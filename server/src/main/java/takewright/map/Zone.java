package takewright.map;

import takewright.diagnosis.SettingException;

/**
 * Where one sample lies: it answers keys and velocities in these ranges, bounds included.
 *
 * @param file the sample
 * @param articulation for instance "sustain"
 * @param layer for instance "close"
 * @param dynamic for instance "mf"; may be empty
 * @param root key at which it sounds as it is, 0 to 127
 * @param lowKey 0 to 127
 * @param highKey 0 to 127
 * @param lowVelocity 1 to 127
 * @param highVelocity 1 to 127
 * @param rr its place among the round robins of its note and dynamic, from 1 to {@code rrCount}
 * @param rrCount how many take turns
 * @param gainDb gain at which it is played
 * @param loopStart first frame of the loop; null for none
 * @param loopEnd last frame of the loop, played too; null for none
 * @param releaseMs time to die away by 60 dB once the key is let go, in milliseconds
 * @param velocityRule what its velocities follow from; null where they are all, or it is not known
 */
public record Zone(
    String file,
    String articulation,
    String layer,
    String dynamic,
    int root,
    int lowKey,
    int highKey,
    int lowVelocity,
    int highVelocity,
    int rr,
    int rrCount,
    double gainDb,
    Long loopStart,
    Long loopEnd,
    double releaseMs,
    VelocityRule velocityRule) {
  /** Refuses a loop that ends before it begins, at which a player would stand still. */
  public Zone {
    if (loopStart != null && loopEnd != null && !(loopStart >= 0 && loopStart <= loopEnd)) {
      throw new SettingException(
          "loop_start",
          "is " + loopStart + ", and the loop ends at frame " + loopEnd,
          "build the library again");
    }
  }

  /** Whether a key struck like this is in its ranges. */
  public boolean answers(int key, int velocity) {
    return key >= lowKey && key <= highKey && velocity >= lowVelocity && velocity <= highVelocity;
  }
}
