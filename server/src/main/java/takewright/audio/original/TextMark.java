package takewright.audio.original;

import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.zip.CRC32C;

/**
 * The last line by which Takewright knows a page, a script or a table of its own: a comment with
 * the CRC-32C of all that stands before it.
 */
enum TextMark implements ContentMark {
  SCRIPT("/* takewright ", " */\n"),
  TABLE("# takewright ", "\n"),
  PAGE("<!-- takewright ", " -->\n");

  private final String before;
  private final String behind;

  TextMark(String before, String behind) {
    this.before = before;
    this.behind = behind;
  }

  @Override
  public byte[] mark(byte[] content) {
    byte[] line = line(content, content.length);
    byte[] marked = Arrays.copyOf(content, content.length + line.length);
    System.arraycopy(line, 0, marked, content.length, line.length);
    return marked;
  }

  @Override
  public boolean fits(byte[] marked) {
    int length = marked.length - line(marked, 0).length;
    return length >= 0
        && Arrays.equals(line(marked, length), Arrays.copyOfRange(marked, length, marked.length));
  }

  private byte[] line(byte[] content, int length) {
    CRC32C crc = new CRC32C();
    crc.update(content, 0, length);
    String digits = HexFormat.of().toHexDigits((int) crc.getValue());
    return (before + digits + behind).getBytes(StandardCharsets.US_ASCII);
  }
}
