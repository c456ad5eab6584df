package takewright.retune;

import takewright.audio.Clip;

/** Moves the pitch of a sample by resampling alone. */
public final class Retune {
  private Retune() {}

  /** The sample moved in pitch, and brought to the sample rate asked for in the same step. */
  public static Clip apply(Clip sample, RetuneSettings settings) {
    throw new UnsupportedOperationException("not yet");
  }
}
