package takewright.bench;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;

/**
 * A file of results in Markdown, kept with the sources: a section for each table, of which a run
 * replaces its own and leaves the others.
 */
final class Results {
  private static final String HEADING = "\n## ";

  private Results() {}

  /**
   * Puts a section to where one of the same heading stood; a new one comes last.
   *
   * @param section begins with its heading
   * @throws IOException if there is no such file, or it cannot be written
   */
  static void put(Path file, String section) throws IOException {
    Path fresh = Files.createTempFile(file.toAbsolutePath().getParent(), "results", ".md");
    Files.writeString(fresh, with(Files.readString(file), section));
    Files.move(fresh, file, StandardCopyOption.REPLACE_EXISTING, StandardCopyOption.ATOMIC_MOVE);
  }

  /** A text with a section in it. */
  static String with(String text, String section) {
    String heading = section.substring(0, section.indexOf('\n') + 1);
    int from = ("\n" + text).indexOf("\n" + heading);
    if (from < 0) {
      return text.stripTrailing() + "\n\n" + section.strip() + "\n";
    }
    int to = text.indexOf(HEADING, from + heading.length() - 1);
    String after = to < 0 ? "" : text.substring(to);
    return text.substring(0, from) + section.strip() + "\n" + after;
  }
}
