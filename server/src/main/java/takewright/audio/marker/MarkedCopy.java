package takewright.audio.marker;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.List;
import java.util.Set;
import java.util.concurrent.ThreadLocalRandom;
import java.util.zip.CRC32C;
import takewright.audio.AudioFile;
import takewright.audio.BadAudioException;
import takewright.audio.FileBytes;
import takewright.audio.PcmLayout;
import takewright.audio.WavChunks;
import takewright.audio.original.AtomicFile;
import takewright.audio.original.CheckedFile;
import takewright.audio.original.OriginalFileException;
import takewright.audio.original.Originals;
import takewright.audio.original.WavMark;
import takewright.audio.write.WavFormat;
import takewright.audio.write.WavWriter;

/**
 * Writes a copy of a recording with markers. Of a WAV file every chunk is copied as it is, but for
 * markers that it had; AIFF and FLAC become WAV with as many bits.
 *
 * <p>The copy appears under its name only when it is complete, ends with Takewright's mark ({@link
 * Originals}), and takes the name of no file that is not Takewright's own.
 */
public final class MarkedCopy {
  private static final int BLOCK_BYTES = 1 << 18;
  private static final int BLOCK_FRAMES = 4096;

  /** Names of the forms of a WAV file, as {@link AudioFile#container} gives them. */
  private static final Set<String> WAV_FORMS = Set.of("WAV", "RF64", "BW64");

  /** Content of a {@code ds64} chunk without a table (EBU Tech 3306). */
  private static final int DS64_BYTES = 28;

  private final FileBytes from;
  private final RiffChunks chunks;
  private final byte[] markers;
  private final long largestRiff;
  private final byte[] block = new byte[BLOCK_BYTES];

  private MarkedCopy(FileBytes from, RiffChunks chunks, byte[] markers, long largestRiff) {
    this.from = from;
    this.chunks = chunks;
    this.markers = markers;
    this.largestRiff = largestRiff;
  }

  /**
   * Writes a copy.
   *
   * @param take a WAV, AIFF or FLAC file
   * @param copy where the copy shall appear, as a WAV file
   * @param markers what shall stand in it, in the order of their frames, below frame 2^32
   * @throws BadAudioException if the take cannot be read
   * @throws OriginalFileException if {@code copy} is there and not Takewright's own
   */
  public static void write(Path take, Path copy, List<Marker> markers) throws IOException {
    write(take, copy, markers, WavFormat.LARGEST_RIFF);
  }

  /** As above, with RF64 from this many bytes on. */
  static void write(Path take, Path copy, List<Marker> markers, long largestRiff)
      throws IOException {
    Originals.requireReplaceable(copy);
    byte[] chunks = Markers.chunks(markers);
    if (isWav(take)) {
      copy(take, copy, chunks, largestRiff);
      return;
    }
    Path wav =
        copy.resolveSibling(
            String.format("decoded.%08x.part", ThreadLocalRandom.current().nextInt()));
    try {
      decode(take, wav);
      copy(wav, copy, chunks, largestRiff);
    } finally {
      CheckedFile.delete(wav);
    }
  }

  private static boolean isWav(Path file) throws IOException {
    try (AudioFile audio = AudioFile.openChecked(file)) {
      return WAV_FORMS.contains(audio.container());
    }
  }

  private static void decode(Path take, Path wav) throws IOException {
    try (AudioFile audio = AudioFile.openChecked(take)) {
      int bits = audio.bitDepth() <= 16 ? 16 : audio.bitDepth() <= 24 ? 24 : 32;
      int channels = audio.channels();
      float[][] planar = new float[channels][BLOCK_FRAMES];
      try (WavWriter writer =
          WavWriter.create(wav, audio.sampleRate(), channels, bits, WavChunks.NONE)) {
        for (int n; (n = audio.read(planar, 0, BLOCK_FRAMES)) >= 0; ) {
          writer.append(planar, 0, n);
        }
        writer.commit();
      }
    }
  }

  private static void copy(Path take, Path copy, byte[] markers, long largestRiff)
      throws IOException {
    try (FileBytes from = new FileBytes(take, CheckedFile.open(take, StandardOpenOption.READ));
        AtomicFile.Unnamed to = AtomicFile.Unnamed.beside(copy)) {
      new MarkedCopy(from, RiffChunks.of(from), markers, largestRiff).writeTo(to);
      to.publish(folder -> Originals.requireReplaceable(folder, copy));
    }
  }

  private void writeTo(AtomicFile.Unnamed to) throws IOException {
    CRC32C audio = new CRC32C();
    CRC32C rest = new CRC32C();
    long riffSize = 4L + markers.length + WavMark.BYTES;
    for (RiffChunks.Chunk chunk : chunks.list()) {
      riffSize += isCopied(chunk) ? 8 + chunk.size() + (chunk.size() & 1) : 0;
    }
    boolean isLarge = !chunks.form().equals("RIFF") || riffSize > largestRiff;
    riffSize += isLarge ? 8 + DS64_BYTES : 0;
    ByteBuffer head = buffer(WavFormat.FORM_BYTES);
    String form = chunks.form().equals("RIFF") && isLarge ? "RF64" : chunks.form();
    tag(head, form).putInt(isLarge ? -1 : (int) riffSize);
    write(to, tag(head, "WAVE").flip(), null);
    if (isLarge) {
      write(to, sizes(riffSize), rest);
    }
    for (RiffChunks.Chunk chunk : chunks.list()) {
      if (isCopied(chunk)) {
        boolean isAudio = chunk.start() == chunks.layout().start();
        ByteBuffer name = tag(buffer(8), chunk.id());
        write(to, name.putInt(isAudio && isLarge ? -1 : (int) chunk.size()).flip(), rest);
        transfer(to, chunk, isAudio ? audio : rest);
        write(to, buffer((int) (chunk.size() & 1)), rest);
      }
    }
    write(to, ByteBuffer.wrap(markers), rest);
    write(to, WavMark.chunk((int) audio.getValue(), (int) rest.getValue()), null);
  }

  /** Whether a chunk of the take is one of the copy: not what is written anew. */
  private boolean isCopied(RiffChunks.Chunk chunk) throws IOException {
    return switch (chunk.id()) {
      case "cue ", "ds64", WavMark.TAG -> false;
      case "LIST" -> !Markers.isAssociatedData(from, chunk);
      default -> true;
    };
  }

  private ByteBuffer sizes(long riffSize) {
    PcmLayout layout = chunks.layout();
    ByteBuffer out = tag(buffer(8 + DS64_BYTES), "ds64").putInt(DS64_BYTES);
    out.putLong(riffSize).putLong(layout.frames() * layout.frameBytes()).putLong(layout.frames());
    return out.putInt(0).flip(); // no table of further sizes
  }

  private void transfer(AtomicFile.Unnamed to, RiffChunks.Chunk chunk, CRC32C sum)
      throws IOException {
    for (long done = 0; done < chunk.size(); ) {
      int n = (int) Math.min(block.length, chunk.size() - done);
      from.fill(chunk.start() + done, block, 0, n);
      write(to, ByteBuffer.wrap(block, 0, n), sum);
      done += n;
    }
  }

  private static void write(AtomicFile.Unnamed to, ByteBuffer bytes, CRC32C sum)
      throws IOException {
    if (sum != null) {
      sum.update(bytes.duplicate());
    }
    to.write(bytes);
  }

  private static ByteBuffer buffer(int size) {
    return ByteBuffer.allocate(size).order(ByteOrder.LITTLE_ENDIAN);
  }

  private static ByteBuffer tag(ByteBuffer out, String tag) {
    return out.put(tag.getBytes(StandardCharsets.US_ASCII));
  }
}
