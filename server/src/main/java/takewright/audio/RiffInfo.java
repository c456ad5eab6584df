package takewright.audio;

import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.regex.Pattern;

/**
 * The texts of a {@code LIST INFO} chunk (Multimedia Programming Interface and Data Specifications
 * 1.0, 1991, chapter 2), in which programs look for artist, subject, copyright and comments. Text
 * is written as UTF-8, which contains the ASCII that the standard knows (common practice).
 *
 * @param texts by the four characters of their chunks, in the order in which they are written
 */
public record RiffInfo(Map<String, String> texts) {
  public static final String ARTIST = "IART";
  public static final String COMMENT = "ICMT";
  public static final String COPYRIGHT = "ICOP";
  public static final String NAME = "INAM";
  public static final String SUBJECT = "ISBJ";

  /** No text. */
  public static final RiffInfo NONE = new RiffInfo(Map.of());

  private static final Pattern ID = Pattern.compile("[A-Z0-9]{4}");

  /** A text that is longer is cut when it is read. */
  private static final int MAX_READ = 1 << 16;

  public RiffInfo {
    texts = java.util.Collections.unmodifiableMap(new LinkedHashMap<>(texts));
    for (String id : texts.keySet()) {
      if (!ID.matcher(id).matches()) {
        throw new IllegalArgumentException("an INFO text must have four characters, not " + id);
      }
    }
  }

  public boolean isEmpty() {
    return texts.isEmpty();
  }

  /** These texts before those of another. */
  public RiffInfo and(RiffInfo other) {
    Map<String, String> both = new LinkedHashMap<>(texts);
    other.texts.forEach(both::putIfAbsent);
    return new RiffInfo(both);
  }

  /** The chunk, with its head; no bytes where there is no text. */
  public byte[] chunk() {
    if (isEmpty()) {
      return new byte[0];
    }
    Map<String, byte[]> ended = new LinkedHashMap<>();
    int size = 4;
    for (Map.Entry<String, String> text : texts.entrySet()) {
      byte[] bytes = (text.getValue() + '\0').getBytes(StandardCharsets.UTF_8);
      ended.put(text.getKey(), bytes);
      size += 8 + bytes.length + (bytes.length & 1);
    }
    ByteBuffer out = ByteBuffer.allocate(8 + size).order(ByteOrder.LITTLE_ENDIAN);
    tag(out, "LIST").putInt(size);
    tag(out, "INFO");
    ended.forEach(
        (id, bytes) -> {
          tag(out, id).putInt(bytes.length).put(bytes);
          if ((bytes.length & 1) == 1) {
            out.put((byte) 0);
          }
        });
    return out.array();
  }

  /**
   * Reads the content of a {@code LIST} chunk.
   *
   * @param content from behind its size on, little-endian
   * @return null if it is another list than INFO; texts that are damaged are left out
   */
  static RiffInfo read(ByteBuffer content) {
    if (content.remaining() < 4 || !FileBytes.tag(content).equals("INFO")) {
      return null;
    }
    Map<String, String> texts = new LinkedHashMap<>();
    while (content.remaining() >= 8) {
      String id = FileBytes.tag(content);
      int size = content.getInt();
      if (size < 0 || size > content.remaining()) {
        break;
      }
      byte[] bytes = new byte[size];
      content.get(bytes);
      if ((size & 1) == 1 && content.hasRemaining()) {
        content.get();
      }
      String text = new String(bytes, StandardCharsets.UTF_8);
      int end = text.indexOf('\0');
      text = end < 0 ? text : text.substring(0, end);
      if (ID.matcher(id).matches()) {
        texts.put(id, text.substring(0, Math.min(MAX_READ, text.length())));
      }
    }
    return new RiffInfo(texts);
  }

  private static ByteBuffer tag(ByteBuffer out, String tag) {
    return out.put(tag.getBytes(StandardCharsets.US_ASCII));
  }
}
