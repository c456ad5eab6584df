package takewright.layer;

import java.util.regex.Matcher;
import java.util.regex.Pattern;
import takewright.diagnosis.SettingException;

/**
 * One link of a chain of effects. The constructors refuse what is out of range, by the names of the
 * contract.
 */
public sealed interface Effect {
  /** Level of echoes and reverberation beside the sound itself where none is given, in dB. */
  double DEFAULT_WET_DB = -6;

  /**
   * Takes off what is below, by 12 dB per octave (Butterworth, second order).
   *
   * @param hz corner frequency in hertz, 10 to 20000
   */
  record HighPass(double hz) implements Effect {
    public HighPass {
      SettingException.requireRange("high_pass_hz", hz, 10, 20_000, "Hz");
    }
  }

  /**
   * Takes off what is above, by 12 dB per octave (Butterworth, second order).
   *
   * @param hz corner frequency in hertz, 10 to 20000
   */
  record LowPass(double hz) implements Effect {
    public LowPass {
      SettingException.requireRange("low_pass_hz", hz, 10, 20_000, "Hz");
    }
  }

  /**
   * Leaves a band.
   *
   * @param hz its centre in hertz, 10 to 20000
   * @param q centre over width at -3 dB, 0.1 to 30
   */
  record BandPass(double hz, double q) implements Effect {
    public BandPass {
      SettingException.requireRange("band_pass.hz", hz, 10, 20_000, "Hz");
      SettingException.requireRange("band_pass.q", q, 0.1, 30, "");
    }
  }

  /**
   * Raises or lowers all below or all above a frequency.
   *
   * @param high true: what is above; false: what is below
   * @param hz where half of the gain is reached, in hertz, 10 to 20000
   * @param gainDb -24 to 24
   */
  record Shelf(boolean high, double hz, double gainDb) implements Effect {
    public Shelf {
      SettingException.requireRange(high ? "high_shelf.hz" : "low_shelf.hz", hz, 10, 20_000, "Hz");
      SettingException.requireRange(
          high ? "high_shelf.gain_db" : "low_shelf.gain_db", gainDb, -24, 24, "dB");
    }
  }

  /**
   * Echoes beside the sound.
   *
   * @param timeMs from one to the next, in milliseconds, 1 to 5000
   * @param feedback level of each against the one before, 0 (a single one) to 0.95
   * @param lowPassHz corner frequency in hertz of a low pass that every echo goes through once more
   *     than the one before, 10 to 20000; null for none
   * @param wetDb level of the first against the sound, in dB, -60 to 12
   */
  record Delay(double timeMs, double feedback, Double lowPassHz, double wetDb) implements Effect {
    public Delay {
      SettingException.requireRange("delay.time_ms", timeMs, 1, 5000, "ms");
      SettingException.requireRange("delay.feedback", feedback, 0, 0.95, "");
      if (lowPassHz != null) {
        SettingException.requireRange("delay.low_pass_hz", lowPassHz, 10, 20_000, "Hz");
      }
      SettingException.requireRange("delay.wet_db", wetDb, -60, 12, "dB");
    }

    private static final Pattern NOTE_VALUE =
        Pattern.compile("1/(?<part>1|2|4|8|16|32)(?<mark>[.t]?)");

    /**
     * The length of a note value.
     *
     * @param noteValue "1/4" for a quarter note and so on from 1/1 to 1/32; "1/8." dotted, "1/8t"
     *     of a triplet
     * @param tempoBpm quarter notes a minute, 10 to 400
     * @return milliseconds
     */
    public static double timeMs(String noteValue, double tempoBpm) {
      Matcher matcher = NOTE_VALUE.matcher(noteValue);
      if (!matcher.matches()) {
        throw new SettingException(
            "delay.note_value",
            "is not a note value: \"" + noteValue + "\"",
            "give one such as 1/4, 1/8. (dotted) or 1/8t (triplet)");
      }
      SettingException.requireRange("delay.tempo_bpm", tempoBpm, 10, 400, "beats per minute");
      double quarters = 4.0 / Integer.parseInt(matcher.group("part"));
      double factor =
          switch (matcher.group("mark")) {
            case "." -> 1.5;
            case "t" -> 2.0 / 3;
            default -> 1;
          };
      return 60_000 / tempoBpm * quarters * factor;
    }
  }

  /**
   * A made-up room beside the sound; one channel becomes two.
   *
   * @param decayS time to die away by 60 dB at low frequencies, in seconds, 0.1 to 30
   * @param damping how much sooner high frequencies die away: 0 (alike) to 1 (in a tenth of the
   *     time at half the sample rate)
   * @param wetDb level against the sound, in dB, -60 to 12
   */
  record Reverb(double decayS, double damping, double wetDb) implements Effect {
    /** A half: rooms swallow high frequencies sooner; by ear. */
    public static final double DEFAULT_DAMPING = 0.5;

    public Reverb {
      SettingException.requireRange("reverb.decay_s", decayS, 0.1, 30, "s");
      SettingException.requireRange("reverb.damping", damping, 0, 1, "");
      SettingException.requireRange("reverb.wet_db", wetDb, -60, 12, "dB");
    }
  }

  /**
   * Bends loud samples as an overdriven stage does, by a hyperbolic tangent. Quiet sound keeps its
   * level, loud sound is held below {@code -driveDb} dBFS.
   *
   * @param driveDb 0 to 24
   */
  record Saturation(double driveDb) implements Effect {
    public Saturation {
      SettingException.requireRange("saturation_db", driveDb, 0, 24, "dB");
    }
  }

  /**
   * How far apart two channels are; leaves other numbers of channels as they are.
   *
   * @param ratio 0 (both alike) to 2; 1 leaves them as they are
   */
  record Width(double ratio) implements Effect {
    public Width {
      SettingException.requireRange("width", ratio, 0, 2, "");
    }
  }

  /** Plays what is behind the onset backwards; the onset frame stays where sound begins. */
  record Reverse() implements Effect {}

  /**
   * Louder or softer.
   *
   * @param db -60 to 24
   */
  record Gain(double db) implements Effect {
    public Gain {
      SettingException.requireRange("gain_db", db, -60, 24, "dB");
    }
  }
}
