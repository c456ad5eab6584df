package takewright.denoise;

import takewright.audio.Clip;

/** Takes the noise of the room out of a piece of audio. */
public final class Denoise {
  private Denoise() {}

  /** The audio without the noise that {@code settings} describe. */
  public static DenoiseResult apply(Clip audio, DenoiseSettings settings) {
    throw new UnsupportedOperationException("not yet");
  }
}
