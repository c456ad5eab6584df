package takewright.loop;

import takewright.dsp.Decibels;
import takewright.dsp.SumOfSquares;

/**
 * Moves what follows a loop to the level at which the loop is left.
 *
 * <p>A note that grows or dies away while it is held is louder or softer at a loop's end than at
 * its start, and a loop, whose slow swings are evened out, is left at its own level. What was
 * recorded behind the loop would begin with a step.
 */
final class ReleaseGain {
  /** What is listened to on either side of the loop's end, in seconds: a swing of a vibrato. */
  private static final double WINDOW_S = 0.2;

  /** No release is moved by more than this, in dB: what differs by more is another sound. */
  private static final double MAX_DB = 3;

  private ReleaseGain() {}

  /**
   * Moves the level behind a finished loop, in place; the gain comes in over the cross-fade's way
   * back. All channels have the same gain.
   *
   * @param recorded the channels without the loop
   */
  static void apply(float[][] channels, float[][] recorded, Loop loop, int sampleRate) {
    int behind = channels[0].length - loop.end() - 1;
    int window = Math.min((int) (WINDOW_S * sampleRate), Math.min(behind, loop.length()));
    if (window <= 0) {
      return;
    }
    int before = loop.end() + 1 - window;
    double held = 0;
    double own = 0;
    for (int c = 0; c < channels.length; c++) {
      held += SumOfSquares.of(channels[c], before, before + window);
      held += SumOfSquares.of(channels[c], loop.start(), loop.start() + window);
      own += SumOfSquares.of(recorded[c], before, before + 2 * window);
    }
    if (held <= 0 || own <= 0) {
      return;
    }
    double db = Math.max(-MAX_DB, Math.min(MAX_DB, Decibels.fromPower(held / own)));
    double gain = Decibels.toAmplitude(db);
    for (float[] x : channels) {
      for (int i = 0; i < behind; i++) {
        double share = i >= loop.fade() ? 1 : 0.5 - 0.5 * Math.cos(Math.PI * i / loop.fade());
        x[loop.end() + 1 + i] *= (float) (1 + share * (gain - 1));
      }
    }
  }
}
