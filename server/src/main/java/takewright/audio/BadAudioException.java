package takewright.audio;

import java.io.IOException;

/** Audio that cannot be read; the message names the file, what is wrong and what to do. */
public final class BadAudioException extends IOException {
  private static final long serialVersionUID = 1L;

  public BadAudioException(String message) {
    super(message);
  }

  public BadAudioException(String message, Throwable cause) {
    super(message, cause);
  }
}
