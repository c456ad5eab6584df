package takewright.audio;

import java.io.Closeable;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.channels.FileChannel;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;

/** Random access to the bytes of a file, and exceptions that name it. */
public final class FileBytes implements Closeable {
  private final Path file;
  private final FileChannel channel;
  private final long size;

  /**
   * @param file named in exceptions
   * @param channel the file, open for reading; closed with this
   */
  public FileBytes(Path file, FileChannel channel) throws IOException {
    this.file = file;
    this.channel = channel;
    this.size = channel.size();
  }

  /** Bytes in the file when it was opened. */
  public long size() {
    return size;
  }

  /** An exception about this file: what is wrong, then the remedy. */
  public BadAudioException bad(String what, String remedy) {
    return bad(what, remedy, null);
  }

  public BadAudioException bad(String what, String remedy, Throwable cause) {
    return new BadAudioException(file.toString(), what, remedy, cause);
  }

  /** Whether the file has {@code count} bytes from {@code position} on. */
  public boolean has(long position, long count) {
    return position >= 0 && count >= 0 && position <= size && count <= size - position;
  }

  /** Exactly {@code count} bytes from {@code position}. */
  public ByteBuffer read(long position, int count, ByteOrder order) throws IOException {
    if (!has(position, count)) {
      throw bad("ends within its header", "copy or export it again");
    }
    byte[] bytes = new byte[count];
    fill(position, bytes, 0, count);
    return ByteBuffer.wrap(bytes).order(order);
  }

  /** The four characters at {@code position}. */
  public String tag(long position) throws IOException {
    return tag(read(position, 4, ByteOrder.BIG_ENDIAN));
  }

  /** The next four characters. */
  public static String tag(ByteBuffer from) {
    byte[] four = new byte[4];
    from.get(four);
    return new String(four, StandardCharsets.ISO_8859_1);
  }

  /** Fills {@code count} bytes of {@code target} from {@code position} of the file. */
  public void fill(long position, byte[] target, int offset, int count) throws IOException {
    ByteBuffer buffer = ByteBuffer.wrap(target, offset, count);
    long at = position;
    while (buffer.hasRemaining()) {
      int n = channel.read(buffer, at);
      if (n < 0) {
        throw bad(
            "became shorter while it was read",
            "stop the program that writes to it, and try again");
      }
      at += n;
    }
  }

  @Override
  public void close() throws IOException {
    channel.close();
  }
}
