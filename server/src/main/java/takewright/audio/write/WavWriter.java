package takewright.audio.write;

import java.io.Closeable;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.file.Path;
import java.util.zip.CRC32C;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.original.AtomicFile;
import takewright.audio.original.HeldFolder;
import takewright.audio.original.Originals;
import takewright.audio.original.WavMark;

/**
 * Writes a WAV file that appears under its name only when it is complete: into a temporary file
 * beside it, which {@link #commit} flushes to the disk and renames. Without a commit, closing
 * leaves nothing. It ends with Takewright's mark ({@link Originals}), and takes the name of no file
 * that is not Takewright's own.
 *
 * <p>A file that passes 4 GiB becomes RF64 (EBU Tech 3306).
 */
public final class WavWriter implements Closeable {
  /** Frames quantised at a time: a few KiB per channel, so that the block stays in the cache. */
  private static final int BLOCK_FRAMES = 4096;

  private final Path file;
  private final WavFormat format;
  private final WavChunks chunks;
  private final Quantiser[] quantisers;
  private final long largestRiff;
  private final boolean mayGrow;
  private final AtomicFile.Unnamed unnamed;
  private final byte[] block;
  private final CRC32C audio = new CRC32C();
  private long frames;
  private boolean committed;

  private WavWriter(
      Path file, WavFormat format, WavChunks chunks, boolean mayGrow, long largestRiff)
      throws IOException {
    this.file = file;
    this.format = format;
    this.chunks = chunks;
    this.mayGrow = mayGrow;
    this.largestRiff = largestRiff;
    this.quantisers = new Quantiser[format.channels()];
    for (int c = 0; c < quantisers.length; c++) {
      quantisers[c] = new Quantiser(format.bitDepth(), c);
    }
    this.block = new byte[BLOCK_FRAMES * format.frameBytes()];
    Originals.requireReplaceable(file);
    byte[] head = format.head(chunks, 0, mayGrow, largestRiff);
    this.unnamed = AtomicFile.Unnamed.beside(file);
    try {
      unnamed.write(ByteBuffer.wrap(head));
    } catch (IOException | RuntimeException e) {
      close();
      throw e;
    }
  }

  /**
   * Starts a file.
   *
   * @param file where it shall appear
   * @param sampleRate frames per second, 8000 to 192000
   * @param channels number of channels, 1 to 32
   * @param bitDepth 16, 24 or 32-bit integer; TPDF dither (seeded, so that the same audio gives the
   *     same bytes) where the floats hold more than the file can
   * @param chunks what stands beside the audio
   * @throws IllegalArgumentException if one of these is out of its range
   */
  public static WavWriter create(
      Path file, int sampleRate, int channels, int bitDepth, WavChunks chunks) throws IOException {
    return create(file, sampleRate, channels, bitDepth, chunks, WavFormat.LARGEST_RIFF);
  }

  /** As above, with RF64 from this many bytes on. */
  public static WavWriter create(
      Path file, int sampleRate, int channels, int bitDepth, WavChunks chunks, long largestRiff)
      throws IOException {
    WavFormat format = new WavFormat(sampleRate, channels, bitDepth);
    return new WavWriter(file, format, chunks, true, largestRiff);
  }

  /** Writes a whole clip as a file. */
  public static void write(Path file, Clip clip, int bitDepth, WavChunks chunks)
      throws IOException {
    try (WavWriter writer = of(file, clip, bitDepth, chunks)) {
      writer.commit();
    }
  }

  /**
   * The same for one of many files, whose folder is flushed after the last of them: {@link
   * AtomicFile.Unnamed#publishOneOfMany}.
   */
  public static void writeOneOfMany(Path file, Clip clip, int bitDepth, WavChunks chunks)
      throws IOException {
    try (WavWriter writer = of(file, clip, bitDepth, chunks)) {
      writer.complete();
      writer.unnamed.publishOneOfMany(writer::check);
    }
  }

  /** A file with all of a clip in it, not yet complete. */
  private static WavWriter of(Path file, Clip clip, int bitDepth, WavChunks chunks)
      throws IOException {
    WavFormat format = new WavFormat(clip.sampleRate(), clip.channels(), bitDepth);
    boolean mayGrow = format.isLarge(chunks, clip.frames(), WavFormat.LARGEST_RIFF);
    float[][] planar = new float[clip.channels()][];
    for (int c = 0; c < planar.length; c++) {
      planar[c] = clip.channel(c);
    }
    WavWriter writer = new WavWriter(file, format, chunks, mayGrow, WavFormat.LARGEST_RIFF);
    boolean isWritten = false;
    try {
      writer.append(planar, 0, clip.frames());
      isWritten = true;
      return writer;
    } finally {
      if (!isWritten) {
        writer.close();
      }
    }
  }

  /**
   * Appends frames; samples beyond full scale are held at it.
   *
   * @param planar one array a channel
   * @param offset index of the first frame
   * @param count number of frames
   * @throws IllegalArgumentException if a sample is no number
   */
  public void append(float[][] planar, int offset, int count) throws IOException {
    if (planar.length != format.channels()) {
      throw new IllegalArgumentException(
          "the file has " + format.channels() + " channels, the audio " + planar.length);
    }
    int frameBytes = format.frameBytes();
    for (int done = 0; done < count; ) {
      int n = Math.min(BLOCK_FRAMES, count - done);
      for (int c = 0; c < planar.length; c++) {
        int bad =
            quantisers[c].encode(
                planar[c], offset + done, n, block, c * format.sampleBytes(), frameBytes);
        if (bad >= 0) {
          throw new IllegalArgumentException(
              "sample " + (frames + bad - offset - done) + " of channel " + (c + 1) + " is NaN");
        }
      }
      audio.update(block, 0, n * frameBytes);
      unnamed.write(ByteBuffer.wrap(block, 0, n * frameBytes));
      frames += n;
      done += n;
    }
  }

  /** Completes the file, flushes it to the disk and gives it its name. */
  public void commit() throws IOException {
    if (committed) {
      throw new IllegalStateException("committed already");
    }
    complete();
    unnamed.publish(this::check);
    committed = true;
  }

  private void check(HeldFolder folder) throws IOException {
    Originals.requireReplaceable(folder, file);
  }

  /** Writes what follows the audio, and the head anew. */
  private void complete() throws IOException {
    byte[] head = format.head(chunks, frames, mayGrow, largestRiff);
    byte[] tail = format.tail(chunks, frames);
    CRC32C rest = new CRC32C();
    rest.update(head, WavFormat.FORM_BYTES, head.length - WavFormat.FORM_BYTES);
    rest.update(tail);
    unnamed.write(ByteBuffer.wrap(tail));
    unnamed.write(WavMark.chunk((int) audio.getValue(), (int) rest.getValue()));
    unnamed.writeHead(ByteBuffer.wrap(head));
  }

  @Override
  public void close() throws IOException {
    unnamed.close();
  }
}
