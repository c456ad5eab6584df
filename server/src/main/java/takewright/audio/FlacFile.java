package takewright.audio;

import java.io.IOException;
import java.io.InputStream;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.util.NavigableMap;
import java.util.TreeMap;
import org.jflac.FLACDecoder;
import org.jflac.FrameListener;
import org.jflac.frame.Frame;
import org.jflac.metadata.Metadata;

/**
 * Reads FLAC (RFC 9639) of up to 24 bits; jFLAC decodes the frames.
 *
 * <p>The metadata is read here, since jFLAC believes whatever lengths stand in it, and so is the
 * way to a frame: the decoder is started again at the nearest place known to begin one, and decodes
 * from there. Such places are those of the seek table and those passed before, so that only the
 * first way into a file without a table is long.
 */
final class FlacFile implements AudioFile {
  private static final int STREAMINFO = 0;
  private static final int SEEKTABLE = 3;
  private static final int STREAMINFO_BYTES = 34;
  private static final int SEEKPOINT_BYTES = 18;

  /** Limit, as for WAV: a file of empty metadata blocks must not occupy the reader for hours. */
  private static final int MAX_BLOCKS = 10_000;

  /** Sample number of a placeholder seek point. */
  private static final long PLACEHOLDER = -1;

  /** Seek points that are used: a day of audio at one per second. */
  private static final int MAX_SEEKPOINTS = 100_000;

  /** Frames between two remembered positions: about a second. */
  private static final int REMEMBER_EVERY = 1 << 16;

  private final FileBytes bytes;
  private final byte[] head;
  private final int sampleRate;
  private final int channels;
  private final int bitDepth;
  private final float scale;
  private long frames;

  /** Frame number to position in the file, for known starts of FLAC frames. */
  private final NavigableMap<Long, Long> places = new TreeMap<>();

  private Stream stream;
  private FLACDecoder decoder;

  /** The decoded block: its first frame, its length, and how many of it were read. */
  private long blockStart;

  private int blockFrames;
  private int blockRead;

  /**
   * Ends decoding at jFLAC's first error. Otherwise it would return silence after a wrong checksum,
   * and search for the next block forever at the end of a file.
   */
  private static final class BrokenFrame extends RuntimeException {
    private static final long serialVersionUID = 1L;

    BrokenFrame(String message) {
      super(message, null, false, false);
    }
  }

  /** The file from a frame on, after the header that the decoder needs first. */
  private final class Stream extends InputStream {
    private final byte[] buffer = new byte[64 * 1024];
    private int at;
    private int end;
    private long next;
    private boolean ended;

    Stream(long position) {
      System.arraycopy(head, 0, buffer, 0, head.length);
      end = head.length;
      next = position;
    }

    /** Position in the file of the next byte returned. */
    long position() {
      return next - (end - at);
    }

    @Override
    public int read() throws IOException {
      return fill() ? buffer[at++] & 0xff : -1;
    }

    @Override
    public int read(byte[] to, int offset, int count) throws IOException {
      if (!fill()) {
        return -1;
      }
      int n = Math.min(count, end - at);
      System.arraycopy(buffer, at, to, offset, n);
      at += n;
      return n;
    }

    private boolean fill() throws IOException {
      if (at == end) {
        at = 0;
        end = (int) Math.min(buffer.length, bytes.size() - next);
        bytes.fill(next, buffer, 0, end);
        next += end;
      }
      ended |= end == 0;
      return end > 0;
    }
  }

  private FlacFile(FileBytes bytes, ByteBuffer info) throws IOException {
    this.bytes = bytes;
    long packed = info.getLong(10);
    this.sampleRate = (int) (packed >>> 44);
    this.channels = (int) (packed >>> 41 & 7) + 1;
    this.bitDepth = (int) (packed >>> 36 & 31) + 1;
    this.frames = packed & 0xF_FFFF_FFFFL;
    this.scale = Math.scalb(1f, 1 - bitDepth);
    PcmLayout.checkRateAndChannels(bytes, sampleRate, channels);
    if (bitDepth < 4 || bitDepth > 24) {
      throw bytes.bad(
          "is FLAC of " + bitDepth + " bits", "export it as FLAC of 16 or 24 bits, or as WAV");
    }
    this.head =
        ByteBuffer.allocate(8 + STREAMINFO_BYTES)
            .putInt(0x664C6143) // fLaC
            .putInt(0x8000_0000 | STREAMINFO_BYTES) // the last block of metadata
            .put(info.array())
            .array();
  }

  static FlacFile read(FileBytes bytes) throws IOException {
    FlacFile flac = null;
    ByteBuffer table = ByteBuffer.allocate(0);
    long at = 4;
    boolean last = false;
    for (int block = 0; !last; block++) {
      if (block == MAX_BLOCKS) {
        throw bytes.bad("has more than " + MAX_BLOCKS + " blocks of metadata", "export it again");
      }
      int blockHead = bytes.read(at, 4, ByteOrder.BIG_ENDIAN).getInt();
      last = blockHead < 0;
      int type = blockHead >>> 24 & 0x7f;
      int size = blockHead & 0xFF_FFFF;
      if (type == STREAMINFO && size >= STREAMINFO_BYTES && flac == null) {
        flac = new FlacFile(bytes, bytes.read(at + 4, STREAMINFO_BYTES, ByteOrder.BIG_ENDIAN));
      } else if (type == SEEKTABLE) {
        int used = Math.min(size, MAX_SEEKPOINTS * SEEKPOINT_BYTES);
        table = bytes.read(at + 4, used, ByteOrder.BIG_ENDIAN);
      }
      at += 4 + size;
    }
    if (flac == null) {
      throw bytes.bad("has no STREAMINFO block", "export it again");
    }
    flac.begin(at, table);
    return flac;
  }

  private void begin(long first, ByteBuffer table) throws IOException {
    places.put(0L, first);
    while (table.remaining() >= SEEKPOINT_BYTES) {
      long frame = table.getLong();
      long position = first + table.getLong();
      table.getShort(); // frames in the block
      if (frame != PLACEHOLDER && frame > 0 && bytes.has(position, 1) && position > first) {
        places.put(frame, position);
      }
    }
    if (bytes.has(first, 2) && (bytes.read(first + 1, 1, ByteOrder.BIG_ENDIAN).get() & 1) == 0) {
      // Blocks have one size. Some writers report the shorter last one as the minimum; jFLAC would
      // take that for variable sizes and count frames wrongly.
      head[8] = head[10];
      head[9] = head[11];
    }
    start(0);
    if (frames == 0) {
      countFrames();
    }
  }

  /** A FLAC file written through a pipe does not hold its length. */
  private void countFrames() throws IOException {
    frames = Long.MAX_VALUE;
    while (stream.position() - unread() < bytes.size()) {
      decodeBlock();
    }
    frames = blockStart + blockFrames;
    start(0);
  }

  @Override
  public int sampleRate() {
    return sampleRate;
  }

  @Override
  public int channels() {
    return channels;
  }

  @Override
  public long frames() {
    return frames;
  }

  @Override
  public int bitDepth() {
    return bitDepth;
  }

  @Override
  public boolean floatingPoint() {
    return false;
  }

  @Override
  public String container() {
    return "FLAC";
  }

  @Override
  public WavChunks chunks() {
    return WavChunks.NONE;
  }

  @Override
  public void seek(long frame) throws IOException {
    if (frame < 0 || frame > frames) {
      throw new IllegalArgumentException("frame must be 0 to " + frames + ", not " + frame);
    }
    try {
      goTo(frame);
    } catch (BadAudioException e) {
      if (places.size() == 1) {
        throw e;
      }
      // The seek table may be wrong: some editors cut a file and keep the old table.
      places.tailMap(0L, false).clear();
      start(0);
      goTo(frame);
    }
  }

  private void goTo(long frame) throws IOException {
    long nearest = places.floorKey(frame);
    if (frame < blockStart || nearest > blockStart + blockFrames) {
      start(nearest);
    }
    while (frame >= blockStart + blockFrames && blockStart + blockFrames < frames) {
      decodeBlock();
    }
    blockRead = (int) (frame - blockStart);
  }

  @Override
  public int read(float[][] planar, int offset, int count) throws IOException {
    if (count <= 0) {
      return 0;
    }
    int done = 0;
    while (done < count) {
      if (blockRead == blockFrames) {
        if (blockStart + blockFrames >= frames) {
          break;
        }
        decodeBlock();
      }
      int n = Math.min(count - done, blockFrames - blockRead);
      for (int c = 0; c < channels; c++) {
        int[] from = decoder.getChannelData()[c].getOutput();
        float[] to = planar[c];
        for (int i = 0, f = blockRead, o = offset + done; i < n; i++) {
          to[o + i] = from[f + i] * scale;
        }
      }
      blockRead += n;
      done += n;
    }
    return done == 0 ? -1 : done;
  }

  /** Begins decoding at a known position. */
  private void start(long frame) throws IOException {
    stream = new Stream(places.get(frame));
    decoder = new FLACDecoder(stream);
    decoder.addFrameListener(
        new FrameListener() {
          @Override
          public void processMetadata(Metadata metadata) {}

          @Override
          public void processFrame(Frame block) {}

          @Override
          public void processError(String message) {
            throw new BrokenFrame(message);
          }
        });
    decoder.readStreamInfo();
    blockStart = frame;
    blockFrames = 0;
    blockRead = 0;
  }

  private void decodeBlock() throws IOException {
    long start = blockStart + blockFrames;
    long position = stream.position() - unread();
    Frame block;
    try {
      block = decoder.readNextFrame();
    } catch (IOException | RuntimeException e) {
      // jFLAC throws different exceptions for damaged files.
      throw stream.ended ? cutOff(start) : damaged(start, e);
    }
    if (block == null) {
      throw cutOff(start);
    }
    if (block.header.sampleNumber != start
        || block.header.channels != channels
        || block.header.bitsPerSample != bitDepth) {
      throw damaged(start, null);
    }
    blockStart = start;
    blockFrames = (int) Math.min(block.header.blockSize, frames - start);
    blockRead = 0;
    if (start - places.floorKey(start) >= REMEMBER_EVERY) {
      places.put(start, position);
    }
  }

  /** Bytes that the decoder has read from the stream and not used yet. */
  private int unread() {
    return decoder.getBitInputStream().getInputBytesUnconsumed();
  }

  private BadAudioException cutOff(long start) {
    return bytes.bad(
        "is cut off: "
            + (frames == Long.MAX_VALUE ? "" : "its header promises " + frames + " frames and ")
            + "it ends within the block that begins at frame "
            + start
            + "",
        "copy it again, or export what is left as a new file");
  }

  private BadAudioException damaged(long frame, Exception cause) {
    return bytes.bad("is damaged at frame " + frame, "copy it again", cause);
  }

  @Override
  public void close() throws IOException {
    bytes.close();
  }
}
