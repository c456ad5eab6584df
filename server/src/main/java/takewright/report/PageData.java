package takewright.report;

import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import takewright.audio.original.AtomicFile;

/**
 * Data for the page. A page opened from disk cannot read files, but can load scripts; so each piece
 * of data is a script that passes its content on.
 */
final class PageData {
  private static final ObjectMapper JSON = new ObjectMapper();

  private PageData() {}

  /**
   * Writes one piece.
   *
   * @param kind what it is, for instance "picture"
   * @param name which one
   */
  static void write(Path file, String kind, String name, Object content) throws IOException {
    AtomicFile.write(file, script(kind, name, content));
  }

  /** One piece as the bytes of its script. */
  static byte[] script(String kind, String name, Object content) throws IOException {
    String script =
        "Takewright.receive("
            + JSON.writeValueAsString(kind)
            + ", "
            + JSON.writeValueAsString(name)
            + ", "
            + JSON.writeValueAsString(content)
            + ");\n";
    return script.getBytes(StandardCharsets.UTF_8);
  }

  /** Writes a script of one constant. */
  static void constant(Path file, String name, Object value) throws IOException {
    String script = "const " + name + " = " + JSON.writeValueAsString(value) + ";\n";
    AtomicFile.write(file, script.getBytes(StandardCharsets.UTF_8));
  }
}
