package takewright.audio;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;

/**
 * Reads the chunks of an AIFF file (Audio Interchange File Format 1.3, 1989) or an AIFF-C file
 * (draft of 1991) whose audio is not compressed.
 */
final class AiffHeader {
  /** Limit, as for WAV: a file of empty chunks must not occupy the reader for hours. */
  private static final int MAX_CHUNKS = 10_000;

  /** The size of SSND that SoX writes when it cannot seek back to fill it in. */
  private static final long UNKNOWN_SIZE_SOX = 0x7F00_0008L;

  private final FileBytes bytes;
  private final boolean compressedForm;
  private int channels;
  private long frames = -1;
  private int bits;
  private double rate;
  private String compression = "NONE";
  private long soundStart = -1;
  private long soundSize;
  private boolean unfinished;

  private AiffHeader(FileBytes bytes, boolean compressedForm) {
    this.bytes = bytes;
    this.compressedForm = compressedForm;
  }

  static PcmLayout read(FileBytes bytes) throws IOException {
    String form = bytes.tag(8);
    if (!form.equals("AIFF") && !form.equals("AIFC")) {
      throw bytes.bad("is an IFF file but not an AIFF file", "export it as AIFF");
    }
    return new AiffHeader(bytes, form.equals("AIFC")).layout();
  }

  private PcmLayout layout() throws IOException {
    walk();
    if (frames < 0) {
      throw bytes.bad("has no COMM chunk", "copy or export it again");
    }
    PcmLayout.checkRateAndChannels(bytes, rate, channels);
    SampleFormat format = format();
    int frameBytes = channels * format.bytes();
    if (unfinished) {
      frames = PcmLayout.unfinished(bytes, soundSize, frameBytes) / frameBytes;
    }
    if (soundStart < 0 && frames > 0) {
      throw bytes.bad("ends before its audio begins (no SSND chunk)", "copy or export it again");
    }
    long promised = frames * frameBytes;
    if (promised > soundSize) {
      throw PcmLayout.cutOff(bytes, promised, soundSize);
    }
    return new PcmLayout(
        compressedForm ? "AIFF-C" : "AIFF",
        (int) Math.rint(rate),
        channels,
        bits,
        format,
        Math.max(0, soundStart),
        frames,
        WavChunks.NONE);
  }

  private void walk() throws IOException {
    long at = 12;
    for (int chunk = 0; bytes.has(at, 8); chunk++) {
      if (chunk == MAX_CHUNKS) {
        throw bytes.bad("has more than " + MAX_CHUNKS + " chunks", "export it again");
      }
      ByteBuffer head = bytes.read(at, 8, ByteOrder.BIG_ENDIAN);
      String id = FileBytes.tag(head);
      long size = Integer.toUnsignedLong(head.getInt());
      long start = at + 8;
      if (id.equals("COMM") && frames < 0) {
        common(bytes.read(start, (int) Math.min(size, 22), ByteOrder.BIG_ENDIAN));
      } else if (id.equals("SSND") && soundStart < 0) {
        sound(start, size);
      }
      at = start + size + (size & 1);
    }
  }

  private void sound(long start, long size) throws IOException {
    long offset = Integer.toUnsignedLong(bytes.read(start, 4, ByteOrder.BIG_ENDIAN).getInt());
    long end = Math.min(start + size, bytes.size());
    long formSize = Integer.toUnsignedLong(bytes.read(4, 4, ByteOrder.BIG_ENDIAN).getInt());
    if (size == 0 && formSize + 8 != bytes.size()
        || size == UNKNOWN_SIZE_SOX && start + size > end) {
      unfinished = true;
      end = bytes.size();
    } else if (size < 8) {
      throw bytes.bad("is damaged: its SSND chunk is too short", "export it again");
    }
    soundStart = Math.min(start + 8 + offset, end);
    soundSize = end - soundStart;
  }

  private void common(ByteBuffer comm) throws BadAudioException {
    if (comm.remaining() < 18 || compressedForm && comm.remaining() < 22) {
      throw bytes.bad("is damaged: its COMM chunk is too short", "export it again");
    }
    channels = Short.toUnsignedInt(comm.getShort());
    frames = Integer.toUnsignedLong(comm.getInt());
    bits = Short.toUnsignedInt(comm.getShort());
    rate = extended(comm.getShort(), comm.getLong());
    if (compressedForm) {
      compression = FileBytes.tag(comm);
    }
  }

  private SampleFormat format() throws BadAudioException {
    int sampleBytes = (bits + 7) / 8;
    switch (compression) {
      case "NONE", "twos", "sowt" -> {
        if (sampleBytes >= 1 && sampleBytes <= 4) {
          return new SampleFormat(
              SampleFormat.Encoding.SIGNED, sampleBytes, !compression.equals("sowt"));
        }
      }
      case "fl32", "FL32" -> {
        bits = 32; // writers differ here
        return new SampleFormat(SampleFormat.Encoding.FLOAT, 4, true);
      }
      case "fl64", "FL64" -> {
        bits = 64;
        return new SampleFormat(SampleFormat.Encoding.FLOAT, 8, true);
      }
      default -> {}
    }
    throw bytes.bad(
        "holds audio that cannot be read (compression \""
            + compression.replaceAll("[^ -~]", "?")
            + "\", "
            + bits
            + " bits)",
        "export it as 24-bit PCM");
  }

  /** An 80-bit float: sign and exponent, then 64 bits with the leading one written out. */
  private static double extended(short signAndExponent, long mantissa) {
    int exponent = (signAndExponent & 0x7fff) - 16383;
    double magnitude = (mantissa >>> 1) * 2.0 + (mantissa & 1);
    double value = magnitude * Math.pow(2, exponent - 63);
    return signAndExponent < 0 ? -value : value;
  }
}
