package takewright.audio.marker;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import takewright.audio.BadAudioException;
import takewright.audio.FileBytes;
import takewright.audio.original.CheckedFile;

/**
 * The markers of a WAV file, as the chunks {@code cue } and {@code LIST} of type {@code adtl} hold
 * them (Multimedia Programming Interface and Data Specifications 1.0, 1991, "WAVE form"; New
 * Multimedia Data Types and Data Techniques, 1994).
 */
public final class Markers {
  /** More markers than any take has; a file of nothing else must not fill the memory. */
  static final int MAX_MARKERS = 100_000;

  /** The largest list of names and comments that is read, in bytes. */
  private static final int MAX_LIST = 32 << 20;

  private static final int CUE_BYTES = 24;

  /** The fixed fields of {@code ltxt}: the point, a length, a purpose and four code numbers. */
  private static final int LTXT_BYTES = 20;

  /**
   * The purpose by which editors know a stretch with a length (common practice; the standard leaves
   * the purposes open).
   */
  private static final String REGION = "rgn ";

  private Markers() {}

  /**
   * Reads the markers of a WAV file, in the order of their frames; an empty list if it has none.
   *
   * @throws BadAudioException if it is not a WAV file, or its chunks of markers are damaged
   */
  public static List<Marker> read(Path file) throws IOException {
    try (FileBytes bytes = new FileBytes(file, CheckedFile.open(file, StandardOpenOption.READ))) {
      return read(bytes, RiffChunks.of(bytes));
    }
  }

  static List<Marker> read(FileBytes bytes, RiffChunks chunks) throws IOException {
    List<Point> points = new ArrayList<>();
    PointTexts texts = new PointTexts();
    for (RiffChunks.Chunk chunk : chunks.list()) {
      if (chunk.id().equals("cue ")) {
        points(bytes, chunk, points);
      } else if (isAssociatedData(bytes, chunk)) {
        if (chunk.size() > MAX_LIST) {
          throw bytes.bad(
              "has a list of markers of more than " + (MAX_LIST >> 20) + " MiB",
              "export it again with fewer markers");
        }
        texts.read(bytes.read(chunk.start(), (int) chunk.size(), ByteOrder.LITTLE_ENDIAN));
      }
    }
    return points.stream()
        .map(
            p ->
                new Marker(
                    p.frame,
                    texts.lengths.getOrDefault(p.id, 0L),
                    texts.labels.getOrDefault(p.id, ""),
                    texts.notes.getOrDefault(p.id, "")))
        .sorted(Comparator.comparingLong(Marker::frame))
        .toList();
  }

  /** Whether a chunk holds names, comments and lengths of cue points. */
  static boolean isAssociatedData(FileBytes bytes, RiffChunks.Chunk chunk) throws IOException {
    return chunk.id().equals("LIST")
        && chunk.size() >= 4
        && bytes.tag(chunk.start()).equals("adtl");
  }

  private record Point(int id, long frame) {}

  private static void points(FileBytes bytes, RiffChunks.Chunk chunk, List<Point> into)
      throws IOException {
    if (chunk.size() < 4) {
      return;
    }
    long there = (chunk.size() - 4) / CUE_BYTES;
    long claimed =
        Integer.toUnsignedLong(bytes.read(chunk.start(), 4, ByteOrder.LITTLE_ENDIAN).getInt());
    long count = Math.min(there, claimed);
    if (count + into.size() > MAX_MARKERS) {
      throw bytes.bad("has more than " + MAX_MARKERS + " markers", "export it with fewer markers");
    }
    ByteBuffer cue =
        bytes.read(chunk.start() + 4, (int) count * CUE_BYTES, ByteOrder.LITTLE_ENDIAN);
    for (int i = 0; i < count; i++) {
      int at = i * CUE_BYTES;
      long position = Integer.toUnsignedLong(cue.getInt(at + 4));
      long offset = Integer.toUnsignedLong(cue.getInt(at + 20));
      // Both are the same in a file without a play list; some writers fill in only the first.
      into.add(new Point(cue.getInt(at), offset == 0 ? position : offset));
    }
  }

  /** What the lists say about the points, by the points' numbers. */
  private static final class PointTexts {
    private final Map<Integer, String> labels = new HashMap<>();
    private final Map<Integer, String> notes = new HashMap<>();
    private final Map<Integer, Long> lengths = new HashMap<>();

    void read(ByteBuffer list) {
      int at = 4;
      while (at + 8 <= list.limit()) {
        list.position(at);
        String id = FileBytes.tag(list);
        long size = Integer.toUnsignedLong(list.getInt());
        long end = Math.min(list.limit(), at + 8 + size);
        if (end - at >= 12) {
          item(id, list.getInt(), list, (int) end);
        }
        at = (int) Math.min(list.limit(), at + 8 + size + (size & 1));
      }
    }

    private void item(String id, int point, ByteBuffer list, int end) {
      switch (id) {
        case "labl" -> labels.put(point, text(list, end));
        case "note" -> notes.put(point, text(list, end));
        case "ltxt" -> {
          if (end - list.position() >= 4) {
            lengths.put(point, Integer.toUnsignedLong(list.getInt()));
          }
        }
        default -> {}
      }
    }

    /** Text up to its zero byte: UTF-8, or what older editors wrote, ISO 8859-1. */
    private static String text(ByteBuffer list, int end) {
      byte[] text = new byte[end - list.position()];
      list.get(text);
      int length = 0;
      while (length < text.length && text[length] != 0) {
        length++;
      }
      try {
        return StandardCharsets.UTF_8
            .newDecoder()
            .decode(ByteBuffer.wrap(text, 0, length))
            .toString();
      } catch (CharacterCodingException e) {
        return new String(text, 0, length, StandardCharsets.ISO_8859_1);
      }
    }
  }

  /**
   * The chunks that hold markers.
   *
   * @throws IllegalArgumentException if a marker lies beyond what the 32 bits of a cue point reach
   */
  static byte[] chunks(List<Marker> markers) {
    int list = 4;
    List<byte[]> labels = new ArrayList<>();
    List<byte[]> notes = new ArrayList<>();
    for (Marker marker : markers) {
      labels.add(marker.label().getBytes(StandardCharsets.UTF_8));
      notes.add(marker.note().getBytes(StandardCharsets.UTF_8));
      list += textBytes(labels.get(labels.size() - 1)) + textBytes(notes.get(notes.size() - 1));
      list += marker.length() > 0 ? 8 + LTXT_BYTES : 0;
    }
    int cue = 4 + CUE_BYTES * markers.size();
    ByteBuffer out = ByteBuffer.allocate(8 + cue + 8 + list).order(ByteOrder.LITTLE_ENDIAN);
    tag(out, "cue ").putInt(cue).putInt(markers.size());
    for (int i = 0; i < markers.size(); i++) {
      int frame = position(markers.get(i).frame());
      out.putInt(i + 1).putInt(frame);
      tag(out, "data").putInt(0).putInt(0).putInt(frame);
    }
    tag(out, "LIST").putInt(list);
    tag(out, "adtl");
    for (int i = 0; i < markers.size(); i++) {
      text(out, "labl", i + 1, labels.get(i));
      if (markers.get(i).length() > 0) {
        tag(out, "ltxt").putInt(LTXT_BYTES).putInt(i + 1);
        out.putInt(position(markers.get(i).length()));
        tag(out, REGION).putLong(0); // no country, language, dialect or code page
      }
      text(out, "note", i + 1, notes.get(i));
    }
    return out.array();
  }

  private static int position(long frames) {
    if (frames > 0xFFFF_FFFFL) {
      throw new IllegalArgumentException(
          "a marker must stand before frame 4294967296, not at " + frames);
    }
    return (int) frames;
  }

  /** Bytes of a text's chunk; none for an empty text. */
  private static int textBytes(byte[] text) {
    int content = 4 + text.length + 1;
    return text.length == 0 ? 0 : 8 + content + (content & 1);
  }

  private static void text(ByteBuffer out, String id, int point, byte[] text) {
    if (text.length == 0) {
      return;
    }
    int end = out.position() + textBytes(text);
    tag(out, id).putInt(4 + text.length + 1).putInt(point).put(text);
    out.position(end); // with the zero that ends the text, and a pad byte
  }

  private static ByteBuffer tag(ByteBuffer out, String tag) {
    return out.put(tag.getBytes(StandardCharsets.US_ASCII));
  }
}
