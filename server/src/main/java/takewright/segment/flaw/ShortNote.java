package takewright.segment.flaw;

import java.util.Arrays;
import takewright.dsp.Biquad;
import takewright.dsp.Decibels;

/**
 * What does not belong to a note of a fraction of a second, in which nothing lies before or behind
 * it that it could be compared with: a scratch may go on all through.
 *
 * <p>The mean of the period before and the one behind is taken off each sample, as in {@code
 * Aperiodicity}; what stays is followed in steps of 10 ms.
 *
 * @param harshDb power of what does not repeat from 3 to 7 kHz behind the attack, in dB relative to
 *     the note while it is loud: a bow or a reed that slips; NaN where nothing is measured
 * @param burstDb how far what does not repeat from 1.5 to 3 kHz rises for a moment while the note
 *     goes on, in dB over what lies right before and right behind: a knock; 0 where nothing does
 * @param againDb how far the sound rises clear of the room once more when the note is over, in dB:
 *     a knock that goes on behind it; 0 where it does not
 */
public record ShortNote(double harshDb, double burstDb, double againDb) {
  /** Nothing is measured. */
  public static final ShortNote NONE = new ShortNote(Double.NaN, 0, 0);

  /** Where what is harsh is listened to, in hertz: above, strings and reeds hardly repeat. */
  private static final double[] HARSH_HZ = {3000, 7000};

  /** Where knocks are listened to, in hertz: below, a note that changes hides them. */
  private static final double[] KNOCK_HZ = {1500, 3000};

  /** Steps at the beginning of a note that are its attack, which has a noise of its own. */
  private static final int ATTACK = 4;

  /** Steps at its end in which the next sound may be heard already. */
  private static final int LAST = 3;

  /** A step that lies further below the note while it is loud has no say, in dB. */
  private static final double SOFT_DB = -25;

  /** Fewer loud steps behind the attack are too few: soft ones count as well. */
  private static final int MIN_STEPS = 3;

  /** The note is over behind the last step that is no softer than this, in dB. */
  private static final double OVER_DB = -8;

  /** Steps within which a burst has come and gone. */
  private static final int BURST = 2;

  /** Steps before and behind a burst with which it is compared. */
  private static final int BESIDE = 5;

  /** What is softer than this beside the note while it is loud nobody hears, in dB. */
  private static final double HEARD_DB = -30;

  /**
   * A room's own flutter comes to less than this in 10 ms, as a power ratio (15 dB): behind seven
   * of eight clean notes that rose by 20 dB it came to 10 to 13 dB over the room, 15 of 16 knocks
   * to 17 and more.
   */
  private static final double OVER_ROOM = 30;

  /**
   * Measures a note.
   *
   * @param sound the note, with what lies before and behind it
   * @param from its first sample
   * @param to sample behind its last
   * @param hertz its pitch
   * @param room power of the room, as a mean square
   * @return {@link #NONE} where the sample rate is too low or the note too short
   */
  public static ShortNote of(
      float[] sound, int from, int to, int sampleRate, double hertz, double room) {
    boolean isHeard = 2 * HARSH_HZ[1] < sampleRate && hertz > 0;
    Steps steps = new Steps(sound, from, to, sampleRate);
    if (!isHeard || steps.count() <= ATTACK) {
      return NONE;
    }
    int[] lags = steps.lags(sampleRate / hertz);
    double[] level = steps.levelDb();
    double[] harsh = steps.restDb(steps.rest(band(sound, sampleRate, HARSH_HZ), lags));
    double[] knocks = steps.restDb(steps.rest(band(sound, sampleRate, KNOCK_HZ), lags));
    int last = level.length - 1;
    while (last > 0 && level[last] <= OVER_DB) {
      last--;
    }
    return new ShortNote(
        mean(harsh, level), burst(knocks, last), again(level, last, steps.db(OVER_ROOM * room)));
  }

  private static float[] band(float[] sound, int sampleRate, double[] hz) {
    float[] band = sound.clone();
    for (int i = 0; i < 2; i++) {
      Biquad.highPass(sampleRate, hz[0], Math.sqrt(0.5)).process(band, 0, band.length);
      Biquad.lowPass(sampleRate, hz[1], Math.sqrt(0.5)).process(band, 0, band.length);
    }
    return band;
  }

  /** Mean power behind the attack, while the note is loud, in dB. */
  private static double mean(double[] db, double[] level) {
    double sum = 0;
    double all = 0;
    int counted = 0;
    for (int i = ATTACK; i < db.length; i++) {
      double power = Decibels.toPower(db[i]);
      all += power;
      if (level[i] > SOFT_DB) {
        sum += power;
        counted++;
      }
    }
    return Decibels.fromPower(counted < MIN_STEPS ? all / (db.length - ATTACK) : sum / counted);
  }

  /** The sharpest rise for a moment up to the last loud step. */
  private static double burst(double[] db, int last) {
    double most = 0;
    for (int i = ATTACK + 1; i < last - ATTACK; i++) {
      if (db[i] >= HEARD_DB) {
        double before = least(db, Math.max(ATTACK - 1, i - BESIDE), i - BURST + 1);
        double behind = least(db, i + BURST, Math.min(db.length, i + BESIDE + 1));
        most = Math.max(most, db[i] - Math.max(before, behind));
      }
    }
    return most;
  }

  private static double least(double[] db, int from, int to) {
    return to <= from + 1
        ? Double.POSITIVE_INFINITY
        : Arrays.stream(db, from, to).min().getAsDouble();
  }

  /** The highest rise behind the last loud step, of what is heard beside the note and the room. */
  private static double again(double[] level, int last, double roomDb) {
    double least = Double.POSITIVE_INFINITY;
    double most = 0;
    for (int i = last + BURST; i < level.length - LAST; i++) {
      if (level[i] > Math.max(HEARD_DB, roomDb) && least < level[i]) {
        most = Math.max(most, level[i] - least);
      }
      least = Math.min(least, level[i]);
    }
    return most;
  }
}
