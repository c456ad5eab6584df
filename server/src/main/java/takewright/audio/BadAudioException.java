package takewright.audio;

import java.io.IOException;

/** Audio that cannot be read. */
public final class BadAudioException extends IOException {
  private static final long serialVersionUID = 1L;

  private final String file;
  private final String what;
  private final String remedy;

  /**
   * A complaint about audio.
   *
   * @param file the file it is in; null if it is in none
   * @param what what is wrong with it: a predicate of the file, or a sentence where it is in none
   * @param remedy what to do, in the imperative
   */
  public BadAudioException(String file, String what, String remedy) {
    this(file, what, remedy, null);
  }

  BadAudioException(String file, String what, String remedy, Throwable cause) {
    super((file == null ? "" : file + ": ") + what + "; " + remedy, cause);
    this.file = file;
    this.what = what;
    this.remedy = remedy;
  }

  /** The file it is in; null if it is in none. */
  public String file() {
    return file;
  }

  /** What is wrong with it. */
  public String what() {
    return what;
  }

  /** What to do about it. */
  public String remedy() {
    return remedy;
  }
}
