package takewright.diagnosis;

/**
 * A place in a file.
 *
 * @param file as the person knows it
 * @param line from 1; 0 if the file as a whole is meant
 * @param key the key or column there; empty if none is meant
 */
public record Place(String file, int line, String key) {
  /** A file as a whole. */
  public static Place of(String file) {
    return new Place(file, 0, "");
  }

  /** Such as {@code sheet.yaml:12}. */
  public String text() {
    return line > 0 ? file + ":" + line : file;
  }
}
