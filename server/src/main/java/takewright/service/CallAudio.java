package takewright.service;

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

/** The audio that a call brings: a file, which may be read over again, or a stream, read once. */
final class CallAudio implements Closeable {
  /** Audio that is held and longer, in seconds, is no short work whatever is done with it. */
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

  static CallAudio of(Path file, BooleanSupplier cancelled) {
    return new CallAudio(file, null, cancelled);
  }

  static CallAudio of(PcmInbox inbox, BooleanSupplier cancelled) {
    return new CallAudio(null, inbox, cancelled);
  }

  /** The file, as a real path, or null if the audio is streamed. */
  Path file() {
    return file;
  }

  /** Ends with CANCELLED if nobody waits for the answer any more. */
  void stopIfCancelled() {
    if (cancelled.getAsBoolean()) {
      throw ProblemException.cancelled();
    }
  }

  /** Has whoever reads a stream fail with this. */
  void fail(RuntimeException reason) {
    if (inbox != null) {
      inbox.fail(reason);
    }
  }

  /**
   * The audio from its start, once. It stops with CANCELLED as soon as nobody waits for the answer.
   */
  AudioSource once() throws IOException {
    return checked(file == null ? inbox : naming(() -> AudioFile.open(file)));
  }

  /** The audio from its start, as often as needed; a stream is laid aside on the disk for it. */
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

  /** The same, read through what is put around the source: for who listens while it arrives. */
  Clip held(UnaryOperator<AudioSource> around) throws IOException {
    AudioSource source = around.apply(once());
    int rate = source.sampleRate();
    long longest = (long) rate * Limits.HELD_SECONDS;
    if (source.frames() > longest) {
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
      if (frames > longest) {
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
   * A stream's length is not known: it is read in blocks of a second, which are put together at its
   * end, or of a message that is longer, so that a sample sent as a whole is not copied. The end is
   * found by one frame more.
   */
  private int nextBlock(int rate) {
    if (inbox == null) {
      return rate;
    }
    int inHand = inbox.framesInHand();
    return inHand == 0 ? 1 : Math.max(rate, inHand);
  }

  /**
   * A stretch of the audio in memory; {@code field} names it in errors.
   *
   * @param start its first frame
   * @param end the first frame after it
   */
  Clip stretch(String field, long start, long end) throws IOException {
    AudioSource source = again();
    long longest = (long) source.sampleRate() * Limits.HELD_SECONDS;
    if (start < 0 || end <= start || end > source.frames() || end - start > longest) {
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

  /** What may find that audio is none. */
  private interface Reading<T> {
    T read() throws IOException;
  }

  /** Has an error of the audio name the field that it came by. */
  private <T> T naming(Reading<T> reading) throws IOException {
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

  /** A source that ends with its call, and lets nothing through that is not a number. */
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
      for (int c = 0; c < channels(); c++) {
        float[] channel = planar[c];
        for (int i = offset; i < offset + n; i++) {
          if (!Float.isFinite(channel[i])) {
            throw new BadAudioException(
                null,
                "there is a sample that is not a number at frame "
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
