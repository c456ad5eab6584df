package takewright.audio;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;

/**
 * Reads the chunks of a WAV file: RIFF (Multimedia Programming Interface and Data Specifications
 * 1.0, 1991; New Multimedia Data Types and Data Techniques, 1994), RF64 (EBU Tech 3306) and BW64
 * (ITU-R BS.2088), whose sizes of more than 32 bits stand in a {@code ds64} chunk.
 */
public final class WavHeader {
  private static final long UNKNOWN_SIZE = 0xFFFF_FFFFL;

  /** The size of the audio that SoX writes when it cannot seek back to fill it in. */
  private static final long UNKNOWN_SIZE_SOX = 0x7FFF_F000L;

  /** Of a LIST INFO chunk this much is read, in bytes; it has texts for people only. */
  private static final int MAX_INFO = 1 << 16;

  /**
   * More chunks than any writer makes; a file of empty ones must not occupy the reader for hours.
   */
  private static final int MAX_CHUNKS = 10_000;

  /** Loops beyond these are left out. */
  private static final int MAX_LOOPS = 1_000;

  private static final int PCM = 1;
  private static final int IEEE_FLOAT = 3;
  private static final int EXTENSIBLE = 0xFFFE;

  /** What follows the format code in a sub-format: KSDATAFORMAT_SUBTYPE_*, as little-endian. */
  private static final long SUBTYPE_MIDDLE = 0x0010_0000_0000L;

  private static final long SUBTYPE_END = 0x719B_3800_AA00_0080L;

  private final FileBytes bytes;
  private final String container;
  private long riffSize;
  private long dataSize64 = -1;
  private Format format;
  private long dataStart = -1;
  private long dataSize;
  private WavChunks.Sampler sampler;
  private WavChunks.Instrument instrument;
  private RiffInfo info;
  private WavChunks.Broadcast broadcast;

  private record Format(int channels, int sampleRate, int bitDepth, SampleFormat sample) {}

  private WavHeader(FileBytes bytes, String container) {
    this.bytes = bytes;
    this.container = container;
  }

  /**
   * Reads it.
   *
   * @throws BadAudioException if the file is not a WAV file that can be read
   */
  public static PcmLayout read(FileBytes bytes) throws IOException {
    String form = bytes.tag(0);
    if (!bytes.tag(8).equals("WAVE")) {
      throw bytes.bad("is a RIFF file but not a WAV file", "export it as WAV");
    }
    return new WavHeader(bytes, form.equals("RIFF") ? "WAV" : form).layout();
  }

  private PcmLayout layout() throws IOException {
    riffSize = unsigned(bytes.read(4, 4, ByteOrder.LITTLE_ENDIAN).getInt());
    walk();
    if (format == null) {
      throw bytes.bad("has no fmt chunk before its audio", "export it again");
    }
    if (dataStart < 0) {
      throw bytes.bad("ends before its audio begins (no data chunk)", "copy or export it again");
    }
    int frameBytes = format.channels * format.sample.bytes();
    return new PcmLayout(
        container,
        format.sampleRate,
        format.channels,
        format.bitDepth,
        format.sample,
        dataStart,
        dataSize / frameBytes,
        new WavChunks(sampler, instrument, broadcast, info == null ? RiffInfo.NONE : info));
  }

  private void walk() throws IOException {
    long at = 12;
    for (int chunk = 0; bytes.has(at, 8); chunk++) {
      if (chunk == MAX_CHUNKS) {
        throw bytes.bad("has more than " + MAX_CHUNKS + " chunks", "export it again");
      }
      ByteBuffer head = bytes.read(at, 8, ByteOrder.LITTLE_ENDIAN);
      String id = FileBytes.tag(head);
      long size = unsigned(head.getInt());
      long start = at + 8;
      if (id.equals("data") && dataStart < 0) {
        size = data(start, size);
      } else if (!bytes.has(start, size)) {
        if (dataStart >= 0) {
          return; // garbage after the audio does no harm
        }
        throw bytes.bad(
            "is damaged: its chunk \""
                + printable(id)
                + "\" claims "
                + size
                + " bytes, more than the file has",
            "copy or export it again");
      } else {
        other(id, start, size);
      }
      at = start + size + (size & 1);
    }
  }

  private void other(String id, long start, long size) throws IOException {
    switch (id) {
      case "ds64" -> {
        if (!container.equals("WAV") && size >= 24) {
          ByteBuffer sizes = part(start, size, 24);
          riffSize = sizes.getLong();
          dataSize64 = sizes.getLong();
        }
      }
      case "fmt " -> {
        if (format == null) {
          format = format(part(start, size, 40));
        }
      }
      case "smpl" -> sampler = sampler(start, size);
      case "inst" -> instrument = instrument(part(start, size, 7));
      case "bext" -> broadcast = broadcast(part(start, size, 346));
      case "LIST" -> info = info == null ? RiffInfo.read(part(start, size, MAX_INFO)) : info;
      default -> {}
    }
  }

  /** Finds the audio, and returns its size in bytes. */
  private long data(long start, long claimed) throws IOException {
    if (format == null) {
      throw bytes.bad("has no fmt chunk before its audio", "export it again");
    }
    long there = bytes.size() - start;
    long size = claimed;
    if (claimed == UNKNOWN_SIZE && dataSize64 != -1) {
      size = dataSize64;
    } else if (claimed == UNKNOWN_SIZE
        || claimed == UNKNOWN_SIZE_SOX && there < claimed
        || claimed == 0 && riffSize + 8 != bytes.size()) {
      size = PcmLayout.unfinished(bytes, there, format.channels * format.sample.bytes());
    }
    if (size < 0 || size > there) {
      throw PcmLayout.cutOff(bytes, size, there);
    }
    dataStart = start;
    dataSize = size;
    return size;
  }

  private Format format(ByteBuffer fmt) throws BadAudioException {
    if (fmt.remaining() < 16) {
      throw bytes.bad("is damaged: its fmt chunk is too short", "export it again");
    }
    int code = Short.toUnsignedInt(fmt.getShort());
    int channels = Short.toUnsignedInt(fmt.getShort());
    long rate = unsigned(fmt.getInt());
    fmt.getInt(); // bytes per second: follows from the rest
    int frameBytes = Short.toUnsignedInt(fmt.getShort());
    int bits = Short.toUnsignedInt(fmt.getShort());
    int depth = bits;
    if (code == EXTENSIBLE) {
      if (fmt.remaining() < 24) {
        throw bytes.bad("is damaged: its fmt chunk is too short", "export it again");
      }
      fmt.getShort(); // size of what follows
      int valid = Short.toUnsignedInt(fmt.getShort());
      fmt.getInt(); // loudspeakers
      if (valid > 0 && valid < bits) {
        depth = valid;
      }
      code = Short.toUnsignedInt(fmt.getShort());
      // The GUID's remaining 14 bytes are the same for every format with a code.
      long middle = fmt.getShort() & 0xffffL | (fmt.getInt() & 0xffffffffL) << 16;
      if (middle != SUBTYPE_MIDDLE || fmt.getLong() != SUBTYPE_END) {
        code = EXTENSIBLE;
      }
    }
    PcmLayout.checkRateAndChannels(bytes, rate, channels);
    int sampleBytes = frameBytes / channels;
    boolean whole = frameBytes % channels == 0 && bits > 0 && bits <= 8 * sampleBytes;
    if (code == PCM && whole && sampleBytes <= 4) {
      SampleFormat.Encoding kind =
          sampleBytes == 1 ? SampleFormat.Encoding.UNSIGNED : SampleFormat.Encoding.SIGNED;
      return new Format(channels, (int) rate, depth, new SampleFormat(kind, sampleBytes, false));
    }
    if (code == IEEE_FLOAT && whole && bits == 8 * sampleBytes && (bits == 32 || bits == 64)) {
      return new Format(
          channels,
          (int) rate,
          bits,
          new SampleFormat(SampleFormat.Encoding.FLOAT, sampleBytes, false));
    }
    throw bytes.bad(
        String.format(
            "holds audio that cannot be read (format code 0x%04X, %d bits, %d bytes a frame)",
            code, bits, frameBytes),
        "export it as 24-bit PCM");
  }

  private WavChunks.Sampler sampler(long start, long size) throws IOException {
    if (size < 36) {
      return null;
    }
    ByteBuffer smpl = part(start, size, 36 + 24 * MAX_LOOPS);
    long note = unsigned(smpl.getInt(12));
    double cents = unsigned(smpl.getInt(16)) * (100 / 0x1p32);
    long loopCount = Math.min(unsigned(smpl.getInt(28)), (smpl.limit() - 36) / 24);
    if (note > 127) {
      return null;
    }
    List<WavChunks.SampleLoop> loops = new ArrayList<>();
    for (int i = 0; i < loopCount; i++) {
      int loop = 36 + 24 * i;
      long from = unsigned(smpl.getInt(loop + 8));
      long to = unsigned(smpl.getInt(loop + 12));
      if (smpl.getInt(loop + 4) == 0 && from <= to) {
        loops.add(new WavChunks.SampleLoop(from, to));
      }
    }
    return new WavChunks.Sampler((int) note, cents, loops);
  }

  private static WavChunks.Instrument instrument(ByteBuffer inst) {
    if (inst.remaining() < 7) {
      return null;
    }
    int unityNote = inst.get();
    int fineTune = inst.get();
    int gain = inst.get();
    int lowNote = inst.get();
    int highNote = inst.get();
    // Many writers use velocity 0 for "from the lowest".
    int lowVelocity = Math.max(1, inst.get());
    int highVelocity = inst.get();
    try {
      return new WavChunks.Instrument(
          unityNote, fineTune, gain, lowNote, highNote, lowVelocity, highVelocity);
    } catch (IllegalArgumentException e) {
      return null;
    }
  }

  private static WavChunks.Broadcast broadcast(ByteBuffer bext) {
    if (bext.remaining() < 346) {
      return null;
    }
    return new WavChunks.Broadcast(
        text(bext, 256),
        text(bext, 32),
        text(bext, 32),
        text(bext, 10),
        text(bext, 8),
        bext.getLong());
  }

  /** A text field, up to its first zero byte. */
  private static String text(ByteBuffer from, int length) {
    byte[] field = new byte[length];
    from.get(field);
    int end = 0;
    while (end < length && field[end] != 0) {
      end++;
    }
    return new String(field, 0, end, StandardCharsets.ISO_8859_1);
  }

  /** The beginning of a chunk, at most {@code max} bytes of it. */
  private ByteBuffer part(long start, long size, int max) throws IOException {
    return bytes.read(start, (int) Math.min(size, max), ByteOrder.LITTLE_ENDIAN);
  }

  private static long unsigned(int value) {
    return Integer.toUnsignedLong(value);
  }

  /** A chunk's name as it may stand in a message. */
  private static String printable(String id) {
    return id.replaceAll("[^ -~]", "?");
  }
}
