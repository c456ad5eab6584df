package takewright.service.session;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.channels.FileChannel;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Set;
import takewright.audio.original.AtomicFile;

/** The file of one followed session: its audio as it came, and what was decided beside it. */
final class KeptSession {
  /** Four hours at 48 kHz in two channels of 24 bits; the rest of a longer session is not kept. */
  private static final long MAX_BYTES = 4L << 30;

  /** Space left free on the disk: 1 GiB. */
  private static final long LEFT_FREE = 1L << 30;

  private final Path file;
  private final Path decided;
  private final SessionHeader header;
  private final Set<KeptSession> open;
  private final int sampleBytes;
  private final int frameBytes;
  private ByteBuffer bytes = ByteBuffer.allocate(0);
  private volatile FileChannel channel;
  private volatile boolean isDirty;

  /**
   * @param file where the audio is
   * @param decided where its decisions are or will be
   * @param channel the file, locked, behind its header
   * @param open the sessions of the store; this leaves them when it is closed
   */
  KeptSession(
      Path file, Path decided, SessionHeader header, FileChannel channel, Set<KeptSession> open) {
    this.file = file;
    this.decided = decided;
    this.header = header;
    this.channel = channel;
    this.open = open;
    sampleBytes =
        switch (header.encoding()) {
          case PCM_ENCODING_INT16 -> 2;
          case PCM_ENCODING_INT24 -> 3;
          default -> 4;
        };
    frameBytes = header.channels() * sampleBytes;
  }

  SessionHeader header() {
    return header;
  }

  /**
   * Reads the audio from the start; 0 at its end, where writing then continues. An incomplete frame
   * left by a crash is cut off.
   */
  int read(float[][] planar) throws IOException {
    ByteBuffer block = room(planar[0].length).limit(planar[0].length * frameBytes);
    long from = channel.position();
    while (block.hasRemaining() && channel.read(block) >= 0) {
      // until it is full, or there is no more
    }
    int frames = block.position() / frameBytes;
    block.flip();
    for (int i = 0; i < frames; i++) {
      for (float[] samples : planar) {
        samples[i] = get(block);
      }
    }
    if (frames == 0) {
      channel.truncate(from).position(from);
    }
    return frames;
  }

  private ByteBuffer room(int frames) {
    if (bytes.capacity() < frames * frameBytes) {
      bytes = ByteBuffer.allocate(frames * frameBytes).order(ByteOrder.LITTLE_ENDIAN);
    }
    return bytes.clear();
  }

  private float get(ByteBuffer block) {
    return switch (sampleBytes) {
      case 2 -> block.getShort() / 0x1p15f;
      case 3 -> {
        int low = block.getShort() & 0xffff;
        yield (block.get() << 16 | low) / 0x1p23f;
      }
      default -> block.getFloat();
    };
  }

  private void put(ByteBuffer block, float sample) {
    switch (sampleBytes) {
      case 2 -> block.putShort((short) Math.round(sample * 0x1p15f));
      case 3 -> {
        int value = Math.round(sample * 0x1p23f);
        block.putShort((short) value).put((byte) (value >> 16));
      }
      default -> block.putFloat(sample);
    }
  }

  /** Appends audio, which from then on survives this process. */
  void append(float[][] planar, int count) {
    FileChannel to = channel;
    if (to == null) {
      return;
    }
    ByteBuffer block = room(count);
    for (int i = 0; i < count; i++) {
      for (float[] samples : planar) {
        put(block, samples[i]);
      }
    }
    block.flip();
    try {
      while (block.hasRemaining()) {
        to.write(block);
      }
      isDirty = true;
      if (to.position() > MAX_BYTES) {
        SessionStore.notKept("it is longer than " + (MAX_BYTES >> 30) + " GiB");
        remove();
      }
    } catch (IOException e) {
      SessionStore.notKept(e.toString());
      remove();
    }
  }

  /** Flushes what was appended, and gives the file up where the disk is almost full. */
  void flush() {
    FileChannel to = channel;
    if (!isDirty || to == null) {
      return;
    }
    isDirty = false;
    try {
      // Not Files.getFileStore, which looks up the mount and fails in a chroot.
      Path folder = file.getParent();
      if (folder.toFile().getUsableSpace() < LEFT_FREE) {
        SessionStore.notKept("there is less than " + (LEFT_FREE >> 30) + " GiB free at " + folder);
        remove();
        return;
      }
      to.force(false);
    } catch (IOException e) {
      if (channel != null) {
        SessionStore.notKept(e.toString());
        remove();
      }
    }
  }

  /** What was decided in the session so far; nothing if that is lost, for the take goes on. */
  Decided decided() {
    try {
      return Files.exists(decided)
          ? SessionStore.JSON.readValue(Files.readAllBytes(decided), Decided.class)
          : Decided.NOTHING;
    } catch (IOException e) {
      SessionStore.LOG.warn(
          "what was decided in a followed session is lost: {} is damaged", decided);
      return Decided.NOTHING;
    }
  }

  /** Keeps what was decided. */
  synchronized void keep(Decided now) {
    if (channel != null) {
      try {
        AtomicFile.replace(decided, SessionStore.JSON.writeValueAsBytes(now));
      } catch (IOException e) {
        SessionStore.notKept(e.toString());
      }
    }
  }

  /** Leaves the file in place. */
  synchronized void close() {
    FileChannel from = channel;
    channel = null;
    open.remove(this);
    SessionStore.close(from);
  }

  /** Removes the file of a session that has ended. */
  synchronized void remove() {
    if (channel != null) {
      try {
        Files.deleteIfExists(file);
        Files.deleteIfExists(decided);
      } catch (IOException e) {
        SessionStore.notKept(e.toString());
      }
      close();
    }
  }
}
