package takewright.service.call;

import java.io.Closeable;
import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.function.BooleanSupplier;
import java.util.function.UnaryOperator;
import takewright.audio.AudioFile;
import takewright.audio.AudioSource;
import takewright.audio.BadAudioException;
import takewright.audio.Clip;
import takewright.audio.PassingSource;
import takewright.diagnosis.ProblemException;
import takewright.service.access.Limits;
import takewright.service.wire.Failures;
import takewright.service.work.CoreScheduler;
import takewright.v1.AudioFormat;

/** The audio of a call: a file, which can be read again, or a stream, which is read once. */
public final class CallAudio implements Closeable {
  /** Longer audio in memory, in seconds, is never short work. */
  private static final int SHORT_SECONDS = 20;

  private final Path file;
  private final PcmInbox inbox;
  private final BooleanSupplier cancelled;
  private final List<Closeable> opened = new ArrayList<>();
  private Spool spool;
  private long heldBytes;

  private CallAudio(Path file, PcmInbox inbox, BooleanSupplier cancelled) {
    this.file = file;
    this.inbox = inbox;
    this.cancelled = cancelled;
  }

  public static CallAudio of(Path file, BooleanSupplier cancelled) {
    return new CallAudio(file, null, cancelled);
  }

  public static CallAudio of(PcmInbox inbox, BooleanSupplier cancelled) {
    return new CallAudio(null, inbox, cancelled);
  }

  /** The file, as a real path, or null if the audio is streamed. */
  Path file() {
    return file;
  }

  /** The format of the audio, for the first answer of a call. */
  AudioFormat format() throws IOException {
    if (file == null) {
      return AudioFormat.newBuilder()
          .setSampleRateHz(inbox.sampleRate())
          .setChannels(inbox.channels())
          .build();
    }
    try (AudioSource source = naming(() -> AudioFile.openChecked(file))) {
      return AudioFormat.newBuilder()
          .setSampleRateHz(source.sampleRate())
          .setChannels(source.channels())
          .setFrames(source.frames())
          .build();
    }
  }

  /** Ends with CANCELLED once nobody waits for the response. */
  public void stopIfCancelled() {
    if (cancelled.getAsBoolean()) {
      throw ProblemException.cancelled();
    }
  }

  /** Makes the reader of a stream fail with this problem. */
  public void fail(RuntimeException reason) {
    if (inbox != null) {
      inbox.fail(reason);
    }
  }

  /**
   * The audio from its start, once. It ends with CANCELLED as soon as nobody waits for the
   * response.
   */
  public AudioSource once() throws IOException {
    return checked(file == null ? inbox : naming(() -> AudioFile.openChecked(file)));
  }

  /** The audio from its start, as often as needed; a stream is spooled to the disk. */
  AudioSource again() throws IOException {
    if (file != null) {
      return once();
    }
    if (spool == null) {
      spool = new Spool(once());
      opened.add(spool);
    }
    return new Checked(spool.open());
  }

  /**
   * The whole audio in memory.
   *
   * @throws ProblemException INPUT_INVALID if it is longer than ten minutes, RESOURCE_EXHAUSTED if
   *     there is no room for it
   */
  Clip held() throws IOException {
    return held(source -> source);
  }

  /** The same, read through a wrapper around the source, for those that listen while it arrives. */
  Clip held(UnaryOperator<AudioSource> around) throws IOException {
    AudioSource source = around.apply(once());
    int rate = source.sampleRate();
    long maxFrames = (long) rate * Limits.HELD_SECONDS;
    if (source.frames() > maxFrames) {
      throw tooLong();
    }
    List<Clip> blocks = new ArrayList<>();
    long frames = 0;
    while (true) {
      int block = source.frames() == AudioSource.UNKNOWN ? nextBlock(rate) : (int) source.frames();
      hold(4L * source.channels() * block);
      Clip next = Clip.read(source, block);
      if (next.frames() > 0) {
        blocks.add(next);
        frames += next.frames();
      }
      if (frames > maxFrames) {
        throw tooLong();
      }
      if (next.frames() < block || frames == source.frames()) {
        break;
      }
    }
    if (frames > (long) rate * SHORT_SECONDS) {
      CoreScheduler.expectLong();
    }
    if (blocks.size() == 1) {
      return blocks.get(0);
    }
    hold(4L * source.channels() * frames);
    float[][] whole = new float[source.channels()][(int) frames];
    int at = 0;
    for (Clip part : blocks) {
      for (int c = 0; c < whole.length; c++) {
        System.arraycopy(part.channel(c), 0, whole[c], at, part.frames());
      }
      at += part.frames();
    }
    return Clip.of(rate, whole);
  }

  /**
   * The length of a stream is unknown, so it is read in blocks of a second, joined at its end. A
   * longer message is one block, so that a sample sent in one message is not copied. Reading one
   * frame more finds the end.
   */
  private int nextBlock(int rate) {
    if (inbox == null) {
      return rate;
    }
    int inHand = inbox.framesInHand();
    return inHand == 0 ? 1 : Math.max(rate, inHand);
  }

  /**
   * A stretch of the audio in memory; errors name {@code field}.
   *
   * @param start its first frame
   * @param end the first frame after it
   */
  Clip stretch(String field, long start, long end) throws IOException {
    AudioSource source = again();
    long maxFrames = (long) source.sampleRate() * Limits.HELD_SECONDS;
    if (start < 0 || end <= start || end > source.frames() || end - start > maxFrames) {
      throw ProblemException.invalid(
          field,
          "goes from "
              + start
              + " to "
              + end
              + ", and the input has "
              + source.frames()
              + " frames",
          "end it after it starts, within the input and at most ten minutes later");
    }
    hold(4L * source.channels() * (end - start));
    float[][] skipped = new float[source.channels()][Target.BLOCK];
    for (long at = start; at > 0; ) {
      int n = source.read(skipped, 0, (int) Math.min(at, Target.BLOCK));
      if (n < 0) {
        break;
      }
      at -= n;
    }
    return Clip.read(source, (int) (end - start));
  }

  private void hold(long bytes) {
    Limits.hold(bytes);
    heldBytes += bytes;
  }

  private static RuntimeException tooLong() {
    return ProblemException.invalid(
        "config.input", "is longer than ten minutes", "cut it first; Segment takes any length");
  }

  /** Work that may find the audio invalid. */
  private interface AudioReading<T> {
    T read() throws IOException;
  }

  /** Makes an error of the audio name its field. */
  private <T> T naming(AudioReading<T> reading) throws IOException {
    try {
      return reading.read();
    } catch (BadAudioException e) {
      throw new ProblemException(
          Failures.of(e).of(file == null ? "audio" : "config.input.file"), e);
    }
  }

  private AudioSource checked(AudioSource source) {
    opened.add(source);
    return new Checked(source);
  }

  @Override
  public void close() throws IOException {
    Limits.release(heldBytes);
    heldBytes = 0;
    for (Closeable source : opened) {
      source.close();
    }
  }

  /**
   * A source that ends with its call and refuses samples that are not numbers, of a stream: those
   * of a file are checked where they are read.
   */
  private final class Checked extends PassingSource {
    private long at;

    Checked(AudioSource source) {
      super(source);
    }

    @Override
    public int read(float[][] planar, int offset, int count) throws IOException {
      if (cancelled.getAsBoolean()) {
        throw ProblemException.cancelled();
      }
      CoreScheduler.offer();
      return naming(() -> checked(planar, offset, count));
    }

    private int checked(float[][] planar, int offset, int count) throws IOException {
      int n = source.read(planar, offset, count);
      for (int c = 0; c < channels() && file == null; c++) {
        float[] channel = planar[c];
        for (int i = offset; i < offset + n; i++) {
          if (!Float.isFinite(channel[i])) {
            throw new BadAudioException(
                null,
                "holds a sample that is not a number at frame "
                    + (at + i - offset)
                    + ", channel "
                    + (c + 1),
                "repair or leave out that stretch");
          }
        }
      }
      at += Math.max(0, n);
      return n;
    }
  }
}
