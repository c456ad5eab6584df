package takewright.audio.write;

import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import takewright.audio.AudioFile;
import takewright.audio.WavChunks;
import takewright.audio.original.WavMark;

/**
 * Everything around the audio of a WAV file that is written: {@code fmt}, {@code fact} and {@code
 * bext} before it, {@code smpl}, {@code inst} and {@code LIST INFO} behind it.
 *
 * <p>SoX, FFmpeg and libsndfile take that order. {@code inst} is of odd size, and before the audio
 * of an RF64 file libsndfile (1.2) stumbles over its pad byte.
 *
 * @param sampleRate frames per second
 * @param channels number of channels
 * @param bitDepth 16, 24 or 32
 */
public record WavFormat(int sampleRate, int channels, int bitDepth) {
  /** Maximum of the size field of a RIFF file. */
  public static final long LARGEST_RIFF = 0xFFFF_FFFFL;

  /** Bytes before the first chunk: RIFF, its size, WAVE. */
  public static final int FORM_BYTES = 12;

  /** Size of a ds64 chunk without a table, and of the JUNK chunk that keeps its place. */
  private static final int DS64_BYTES = 28;

  /** The fixed fields of version 1, without coding history. */
  private static final int BEXT_BYTES = 602;

  /**
   * Speakers of one channel (front centre) and two (front left and right). More channels are
   * usually microphones, which have no speaker.
   */
  private static final int[] SPEAKERS = {0, 0x4, 0x3};

  public WavFormat {
    if (sampleRate < AudioFile.LOWEST_RATE || sampleRate > AudioFile.HIGHEST_RATE) {
      throw new IllegalArgumentException(
          "sample rate must be "
              + AudioFile.LOWEST_RATE
              + " to "
              + AudioFile.HIGHEST_RATE
              + " Hz, not "
              + sampleRate);
    }
    if (channels < 1 || channels > AudioFile.MAX_CHANNELS) {
      throw new IllegalArgumentException(
          "channels must be 1 to " + AudioFile.MAX_CHANNELS + ", not " + channels);
    }
    if (bitDepth != 16 && bitDepth != 24 && bitDepth != 32) {
      throw new IllegalArgumentException("bit depth must be 16, 24 or 32, not " + bitDepth);
    }
  }

  /** Bytes in a sample. */
  int sampleBytes() {
    return bitDepth / 8;
  }

  /** Bytes in a frame. */
  int frameBytes() {
    return channels * sampleBytes();
  }

  /** Whether a file of this many frames, with space for ds64, exceeds {@code largestRiff}. */
  boolean isLarge(WavChunks chunks, long frames, long largestRiff) {
    return riffSize(chunks, frames, true) > largestRiff;
  }

  /**
   * The header of the file, up to the first frame.
   *
   * @param frames number of frames that follow
   * @param mayGrow whether a place is kept that RF64 needs
   * @param largestRiff RIFF sizes above this make it RF64
   */
  byte[] head(WavChunks chunks, long frames, boolean mayGrow, long largestRiff) {
    ByteBuffer out = ByteBuffer.allocate(headBytes(chunks, mayGrow)).order(ByteOrder.LITTLE_ENDIAN);
    long riffSize = riffSize(chunks, frames, mayGrow);
    long dataSize = frames * frameBytes();
    boolean large = riffSize > largestRiff;
    if (large && !mayGrow) {
      throw new IllegalStateException("no place was kept for the sizes of RF64");
    }
    tag(out, large ? "RF64" : "RIFF").putInt(large ? -1 : (int) riffSize);
    tag(out, "WAVE");
    if (mayGrow) {
      tag(out, large ? "ds64" : "JUNK").putInt(DS64_BYTES);
      out.putLong(large ? riffSize : 0);
      out.putLong(large ? dataSize : 0);
      out.putLong(large ? frames : 0);
      out.putInt(0); // no table of further sizes
    }
    format(out);
    if (extensible()) {
      tag(out, "fact").putInt(4);
      out.putInt(large ? -1 : (int) frames);
    }
    if (chunks.broadcast() != null) {
      broadcast(out, chunks.broadcast());
    }
    tag(out, "data").putInt(large ? -1 : (int) dataSize);
    return out.array();
  }

  /** What follows the last frame, beginning with the audio's pad byte, up to the mark. */
  byte[] tail(WavChunks chunks, long frames) {
    ByteBuffer out = ByteBuffer.allocate(tailBytes(chunks, frames)).order(ByteOrder.LITTLE_ENDIAN);
    out.position(padBytes(frames));
    if (chunks.sampler() != null) {
      sampler(out, chunks.sampler());
    }
    if (chunks.instrument() != null) {
      instrument(out, chunks.instrument());
    }
    out.put(chunks.info().chunk());
    return out.array();
  }

  /** WAVE_FORMAT_EXTENSIBLE is asked for beyond two channels or 16 bits. */
  private boolean extensible() {
    return channels > 2 || bitDepth > 16;
  }

  private int headBytes(WavChunks chunks, boolean mayGrow) {
    int size = FORM_BYTES + 8 + (extensible() ? 40 + 12 : 16) + 8;
    if (mayGrow) {
      size += 8 + DS64_BYTES;
    }
    if (chunks.broadcast() != null) {
      size += 8 + BEXT_BYTES;
    }
    return size;
  }

  private int tailBytes(WavChunks chunks, long frames) {
    int size = padBytes(frames);
    if (chunks.sampler() != null) {
      size += 8 + 36 + 24 * chunks.sampler().loops().size();
    }
    if (chunks.instrument() != null) {
      size += 8 + 7 + 1;
    }
    return size + chunks.info().chunk().length;
  }

  private int padBytes(long frames) {
    return (int) (frames * frameBytes() & 1);
  }

  /** All that follows the first eight bytes. */
  private long riffSize(WavChunks chunks, long frames, boolean mayGrow) {
    return headBytes(chunks, mayGrow)
        - 8
        + frames * frameBytes()
        + tailBytes(chunks, frames)
        + WavMark.BYTES;
  }

  private void format(ByteBuffer out) {
    tag(out, "fmt ").putInt(extensible() ? 40 : 16);
    out.putShort((short) (extensible() ? 0xFFFE : 1));
    out.putShort((short) channels);
    out.putInt(sampleRate);
    out.putInt(sampleRate * frameBytes());
    out.putShort((short) frameBytes());
    out.putShort((short) bitDepth);
    if (extensible()) {
      out.putShort((short) 22);
      out.putShort((short) bitDepth);
      out.putInt(channels < SPEAKERS.length ? SPEAKERS[channels] : 0);
      // KSDATAFORMAT_SUBTYPE_PCM: 00000001-0000-0010-8000-00AA00389B71
      out.putInt(1).putInt(0x0010_0000).putLong(0x719B_3800_AA00_0080L);
    }
  }

  private void sampler(ByteBuffer out, WavChunks.Sampler sampler) {
    tag(out, "smpl").putInt(36 + 24 * sampler.loops().size());
    out.putInt(0).putInt(0); // made for no one sampler
    out.putInt((int) Math.round(1e9 / sampleRate)); // nanoseconds a frame
    out.putInt(sampler.unityNote());
    out.putInt((int) Math.min(0xFFFF_FFFFL, Math.round(sampler.cents() / 100 * 0x1p32)));
    out.putInt(0).putInt(0); // no SMPTE offset
    out.putInt(sampler.loops().size()).putInt(0);
    int id = 0;
    for (WavChunks.SampleLoop loop : sampler.loops()) {
      out.putInt(id++).putInt(0); // forward
      out.putInt((int) loop.start()).putInt((int) loop.end());
      out.putInt(0).putInt(0); // no fraction of a frame; forever
    }
  }

  private static void instrument(ByteBuffer out, WavChunks.Instrument inst) {
    tag(out, "inst").putInt(7);
    out.put((byte) inst.unityNote());
    out.put((byte) inst.fineTuneCents());
    out.put((byte) inst.gainDb());
    out.put((byte) inst.lowNote()).put((byte) inst.highNote());
    out.put((byte) inst.lowVelocity()).put((byte) inst.highVelocity());
    out.put((byte) 0); // to an even size
  }

  private static void broadcast(ByteBuffer out, WavChunks.Broadcast bext) {
    tag(out, "bext").putInt(BEXT_BYTES);
    int start = out.position();
    text(out, bext.description(), 256);
    text(out, bext.originator(), 32);
    text(out, bext.originatorReference(), 32);
    text(out, bext.date(), 10);
    text(out, bext.time(), 8);
    out.putLong(bext.timeReference());
    out.putShort((short) 1); // version
    out.position(start + BEXT_BYTES); // no UMID
  }

  /** Text cut to its field and filled with zeros; what is not ASCII becomes a question mark. */
  private static void text(ByteBuffer out, String text, int length) {
    byte[] ascii = text.getBytes(StandardCharsets.US_ASCII);
    int end = out.position() + length;
    out.put(ascii, 0, Math.min(length, ascii.length));
    out.position(end);
  }

  private static ByteBuffer tag(ByteBuffer out, String tag) {
    return out.put(tag.getBytes(StandardCharsets.US_ASCII));
  }
}
