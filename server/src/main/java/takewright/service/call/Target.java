package takewright.service.call;

import com.google.protobuf.ByteString;
import java.io.Closeable;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Files;
import java.nio.file.InvalidPathException;
import java.nio.file.Path;
import java.util.function.Consumer;
import takewright.audio.AudioSource;
import takewright.audio.WavChunks;
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

  private record StreamSink(PcmEncoding encoding, int channels, Consumer<ByteString> audio)
      implements Sink {
    @Override
    public void append(float[][] planar, int count) {
      int frameBytes = channels * PcmInbox.sampleBytes("", encoding);
      int max = Limits.AUDIO_BYTES / frameBytes;
      for (int from = 0; from < count; from += max) {
        audio.accept(encode(planar, from, Math.min(max, count - from), frameBytes));
      }
    }

    private ByteString encode(float[][] planar, int from, int count, int frameBytes) {
      ByteBuffer bytes = ByteBuffer.allocate(count * frameBytes).order(ByteOrder.LITTLE_ENDIAN);
      for (int i = from; i < from + count; i++) {
        for (int c = 0; c < channels; c++) {
          put(bytes, planar[c][i]);
        }
      }
      return ByteString.copyFrom(bytes.flip());
    }

    private void put(ByteBuffer bytes, float sample) {
      switch (encoding) {
        case PCM_ENCODING_INT16 -> bytes.putShort((short) rounded(sample, 0x1p15));
        case PCM_ENCODING_INT24 -> {
          int value = rounded(sample, 0x1p23);
          bytes.putShort((short) value).put((byte) (value >> 16));
        }
        case PCM_ENCODING_INT32 -> bytes.putInt(rounded(sample, 0x1p31));
        default -> bytes.putFloat(sample);
      }
    }

    /** To the nearest integer, held at full scale. */
    private static int rounded(float sample, double fullScale) {
      return (int) Math.max(-fullScale, Math.min(fullScale - 1, Math.rint(sample * fullScale)));
    }

    @Override
    public void commit() {}

    @Override
    public void close() {}
  }
}
