package takewright.service.call;

import com.google.protobuf.ByteString;
import com.google.protobuf.UnsafeByteOperations;
import java.io.Closeable;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Files;
import java.nio.file.InvalidPathException;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.function.Consumer;
import takewright.audio.AudioSource;
import takewright.audio.WavChunks;
import takewright.audio.write.Quantiser;
import takewright.audio.write.WavWriter;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.service.access.GrantedFolders;
import takewright.service.access.Limits;
import takewright.v1.AudioOutput;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;

/**
 * Where the audio of a response goes, checked before any work is done.
 *
 * @param field the field that names it, for errors
 * @param file real path of the file to write, or null if it goes back to the client
 * @param bitDepth of the file: 16, 24 or 32
 * @param replace whether a file that is there may be replaced
 * @param encoding of the stream; not used with a file
 */
record Target(String field, Path file, int bitDepth, boolean replace, PcmEncoding encoding) {
  /** Frames processed at a time: little memory, but much compared with the cost of a message. */
  static final int BLOCK = 16_384;

  /**
   * The target of a request.
   *
   * @param input the file that is read, which is never written over, or null
   */
  static Target of(String field, AudioOutput output, Path input, GrantedFolders folders)
      throws IOException {
    int bits = output.hasBitDepth() ? output.getBitDepth() : 24;
    if (bits != 16 && bits != 24 && bits != 32) {
      throw ProblemException.invalid(field + ".bit_depth", "is " + bits, "give 16, 24 or 32");
    }
    switch (output.getTargetCase()) {
      case FILE -> {
        String name = field + ".file";
        if (input != null && isSame(input, output.getFile())) {
          throw ProblemException.invalid(
              name,
              "is the input, which is never written over: " + output.getFile(),
              "name another file");
        }
        Path file = folders.wavToWrite(name, output.getFile(), output.getReplace());
        return new Target(name, file, bits, output.getReplace(), null);
      }
      case PCM -> {
        PcmInbox.sampleBytes(field + ".pcm", output.getPcm());
        return new Target(field, null, bits, false, output.getPcm());
      }
      default ->
          throw ProblemException.invalid(
              field, "needs exactly one of `file` and `pcm`, and has none", "set one");
    }
  }

  /** Whether a path leads to the input, which the call may read; other paths are checked later. */
  static boolean isSame(Path input, String path) {
    try {
      return Files.isSameFile(input, Path.of(path));
    } catch (IOException | InvalidPathException e) {
      return false;
    }
  }

  /** Whether the result goes back to the client. */
  boolean isStreamed() {
    return file == null;
  }

  /** Begins to write audio of this format; {@code format} and {@code audio} send to the client. */
  Sink open(int sampleRate, int channels, Consumer<PcmFormat> format, Consumer<ByteString> audio)
      throws IOException {
    if (file != null) {
      return new FileSink(
          this, WavWriter.create(file, sampleRate, channels, bitDepth, WavChunks.NONE));
    }
    format.accept(
        PcmFormat.newBuilder()
            .setEncoding(encoding)
            .setSampleRateHz(sampleRate)
            .setChannels(channels)
            .build());
    return new StreamSink(encoding, channels, audio);
  }

  /** Writes a whole source; returns the frames written. */
  static long copy(AudioSource from, Sink to) throws IOException {
    float[][] planar = new float[from.channels()][BLOCK];
    long frames = 0;
    for (int n = from.read(planar, 0, BLOCK); n >= 0; n = from.read(planar, 0, BLOCK)) {
      to.append(planar, n);
      frames += n;
    }
    return frames;
  }

  /** Writes audio block by block; without {@link #commit} no file remains. */
  interface Sink extends Closeable {
    void append(float[][] planar, int count) throws IOException;

    void commit() throws IOException;
  }

  private record FileSink(Target target, WavWriter writer) implements Sink {
    @Override
    public void append(float[][] planar, int count) throws IOException {
      writer.append(planar, 0, count);
    }

    @Override
    public void commit() throws IOException {
      if (!target.replace && Files.exists(target.file)) {
        throw new ProblemException(
            Reason.ALREADY_THERE,
            target.field,
            "was created while the call ran: " + target.file,
            "choose another name, or set `replace`");
      }
      writer.commit();
    }

    @Override
    public void close() throws IOException {
      writer.close();
    }
  }

  private static final class StreamSink implements Sink {
    private final Consumer<ByteString> audio;
    private final int sampleBytes;
    private final int frameBytes;

    /** One for each channel; null for floats. */
    private final Quantiser[] quantisers;

    StreamSink(PcmEncoding encoding, int channels, Consumer<ByteString> audio) {
      this.audio = audio;
      sampleBytes = PcmInbox.sampleBytes("", encoding);
      frameBytes = channels * sampleBytes;
      if (encoding == PcmEncoding.PCM_ENCODING_FLOAT32) {
        quantisers = null;
      } else {
        quantisers = new Quantiser[channels];
        Arrays.setAll(quantisers, channel -> new Quantiser(8 * sampleBytes, channel));
      }
    }

    @Override
    public void append(float[][] planar, int count) {
      int max = Limits.AUDIO_BYTES / frameBytes;
      for (int from = 0; from < count; from += max) {
        byte[] bytes = new byte[Math.min(max, count - from) * frameBytes];
        for (int c = 0; c < planar.length; c++) {
          encode(planar[c], from, c, bytes);
        }
        audio.accept(UnsafeByteOperations.unsafeWrap(bytes));
      }
    }

    private void encode(float[] samples, int from, int channel, byte[] bytes) {
      int count = bytes.length / frameBytes;
      int at = channel * sampleBytes;
      if (quantisers != null) {
        if (quantisers[channel].encode(samples, from, count, bytes, at, frameBytes) >= 0) {
          throw new IllegalArgumentException("a sample of channel " + (channel + 1) + " is NaN");
        }
        return;
      }
      ByteBuffer to = ByteBuffer.wrap(bytes).order(ByteOrder.LITTLE_ENDIAN);
      for (int i = 0; i < count; i++) {
        to.putFloat(at + i * frameBytes, samples[from + i]);
      }
    }

    @Override
    public void commit() {}

    @Override
    public void close() {}
  }
}
