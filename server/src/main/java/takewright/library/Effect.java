package takewright.library;

/** One link of a layer's chain of effects. */
public sealed interface Effect {
  /**
   * Takes off what is below.
   *
   * @param hz corner frequency in hertz, 10 to 20000
   */
  record HighPass(double hz) implements Effect {}

  /**
   * Takes off what is above.
   *
   * @param hz corner frequency in hertz, 10 to 20000
   */
  record LowPass(double hz) implements Effect {}

  /**
   * Echoes.
   *
   * @param timeMs from one to the next, in milliseconds, 1 to 5000
   * @param feedback share of each that comes again, 0 to 0.95
   * @param lowPassHz corner frequency in hertz of a low pass in the loop, 10 to 20000; null for
   *     none
   */
  record Delay(double timeMs, double feedback, Double lowPassHz) implements Effect {}

  /**
   * A room that is made up.
   *
   * @param decayS time to die away by 60 dB, in seconds, 0.1 to 30
   */
  record Reverb(double decayS) implements Effect {}
}
