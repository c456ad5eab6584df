package takewright.map;

import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;

/**
 * What the modulation wheel (MIDI controller 1) does: it moves the cutoff of a low-pass filter of
 * second order, evenly in octaves.
 *
 * @param fromHz cutoff with the wheel at 0, in hertz, 200 to 20000; at 20000 all passes
 * @param toHz cutoff with the wheel at 127, in hertz, 200 to 20000
 * @param resonanceDb gain at the cutoff, in dB, 0 to 20; at an end where all passes there is none,
 *     so that the samples sound there as they are
 */
public record ModWheel(double fromHz, double toHz, double resonanceDb) {
  /** The range of a cutoff, in hertz; from the upper end on a filter lets all pass. */
  public static final double MIN_HZ = 200;

  public static final double MAX_HZ = 20_000;
  public static final double MAX_RESONANCE_DB = 20;

  /**
   * Open at rest, because a keyboard without a wheel leaves it at 0 and the samples must then sound
   * as they are. Turned up, it takes a bowed or blown note to its first few partials, with a
   * resonance that colours and does not whistle.
   */
  public static final ModWheel DEFAULT = new ModWheel(MAX_HZ, 600, 3);

  public ModWheel {
    check("from_hz", fromHz, MIN_HZ, MAX_HZ, "Hz");
    check("to_hz", toHz, MIN_HZ, MAX_HZ, "Hz");
    check("resonance_db", resonanceDb, 0, MAX_RESONANCE_DB, "dB");
  }

  /** Resonance with the wheel at 0, in dB. */
  public double resonanceFromDb() {
    return fromHz == MAX_HZ ? 0 : resonanceDb;
  }

  /** Resonance with the wheel at 127, in dB. */
  public double resonanceToDb() {
    return toHz == MAX_HZ ? 0 : resonanceDb;
  }

  private static void check(String field, double value, double min, double max, String unit) {
    if (!(value >= min && value <= max)) {
      throw new SettingException(Problem.outOfRange(field, value, min, max, unit));
    }
  }
}
