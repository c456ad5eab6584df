package takewright.service.call;

import com.google.protobuf.ByteString;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.util.ArrayDeque;
import takewright.audio.AudioSource;
import takewright.diagnosis.ProblemException;
import takewright.service.access.Limits;
import takewright.service.wire.Wire;
import takewright.service.work.CoreScheduler;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;

/**
 * Turns the bytes of a call's audio, as they arrive, into frames. The network's thread adds bytes
 * and never waits; a worker reads frames and waits for them. Messages may end anywhere, also within
 * a sample. At most {@link #WINDOW} messages or {@link #WINDOW_BYTES} are requested ahead.
 */
public final class PcmInbox implements AudioSource {
  /** Small messages requested ahead of the reader. */
  static final int WINDOW = 4;

  /** Bytes requested ahead, in messages as large as the last: 2 MiB per call. */
  private static final int WINDOW_BYTES = 2 * Limits.AUDIO_BYTES;

  private final int sampleRate;
  private final int channels;
  private final PcmEncoding encoding;
  private final int sampleBytes;
  private final Runnable askForMessage;

  private final ArrayDeque<ByteString> arrived = new ArrayDeque<>();
  private boolean isRecorded;
  private int ahead;
  private boolean ended;
  private boolean closed;
  private RuntimeException failure;

  /** Bytes received: whole frames from {@code at} on, then the beginning of one more. */
  private ByteBuffer block = ByteBuffer.allocate(0).order(ByteOrder.LITTLE_ENDIAN);

  /**
   * An inbox for audio in a format.
   *
   * @param field what leads to the format's fields, for errors
   * @param askForMessage asks the client's side for one more message
   * @throws ProblemException INPUT_INVALID if the format is none
   */
  public PcmInbox(String field, PcmFormat format, Runnable askForMessage) {
    sampleBytes = sampleBytes(field + "encoding", format.getEncoding());
    Limits.checkFormat(field, format.getSampleRateHz(), format.getChannels());
    this.sampleRate = format.getSampleRateHz();
    this.channels = format.getChannels();
    this.encoding = format.getEncoding();
    this.askForMessage = askForMessage;
  }

  /** Bytes of one sample; {@code field} names the encoding in the error. */
  public static int sampleBytes(String field, PcmEncoding encoding) {
    return switch (encoding) {
      case PCM_ENCODING_INT16 -> 2;
      case PCM_ENCODING_INT24 -> 3;
      case PCM_ENCODING_INT32, PCM_ENCODING_FLOAT32 -> 4;
      case PCM_ENCODING_UNSPECIFIED ->
          throw ProblemException.invalid(field, "is not set", Wire.set(PcmEncoding.values()));
      default -> throw Wire.unknown(field, PcmEncoding.values());
    };
  }

  /**
   * The audio may pause for as long as its connection stands, which gRPC's keepalive tells, and
   * what is left of a frame at its end is dropped: a recorder was switched off.
   */
  void comesFromRecorder() {
    isRecorded = true;
  }

  /** Adds a piece of the audio. */
  public synchronized void put(ByteString bytes) {
    if (!closed) {
      arrived.add(bytes);
      notifyAll();
    }
  }

  /** Marks the end of the audio. */
  public synchronized void end() {
    ended = true;
    notifyAll();
  }

  /** Makes the reader fail with this problem. */
  synchronized void fail(RuntimeException reason) {
    if (failure == null) {
      failure = reason;
    }
    arrived.clear();
    notifyAll();
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
    return UNKNOWN;
  }

  @Override
  public int read(float[][] planar, int offset, int count) throws IOException {
    if (count == 0) {
      return 0;
    }
    int inHand = framesInHand();
    if (inHand == 0) {
      return -1;
    }
    int frameBytes = sampleBytes * channels;
    int frames = Math.min(count, inHand);
    for (int c = 0; c < channels; c++) {
      decode(block.position() + c * sampleBytes, planar[c], offset, offset + frames);
    }
    block.position(block.position() + frames * frameBytes);
    return frames;
  }

  /** Frames that can be read at once; waits if there are none yet. 0 at the end. */
  int framesInHand() {
    int frameBytes = sampleBytes * channels;
    while (block.remaining() < frameBytes) {
      ByteString next = take();
      if (next == null) {
        if (block.hasRemaining() && !isRecorded) {
          throw ProblemException.invalid(
              "audio",
              "ends inside a frame: "
                  + block.remaining()
                  + " bytes are left over, and a frame has "
                  + frameBytes,
              "send whole frames");
        }
        return 0;
      }
      block = joined(block, next).order(ByteOrder.LITTLE_ENDIAN);
    }
    return block.remaining() / frameBytes;
  }

  private static ByteBuffer joined(ByteBuffer left, ByteString next) {
    if (!left.hasRemaining()) {
      return next.asReadOnlyByteBuffer();
    }
    ByteBuffer both = ByteBuffer.allocate(left.remaining() + next.size());
    both.put(left);
    next.copyTo(both);
    return both.flip();
  }

  /**
   * Samples of one channel, the first at byte {@code at}. Each encoding has a method of its own: a
   * loop that checks the encoding of every sample takes five times as long, and so do four loops in
   * one method, of which the JIT optimises only the first to run.
   */
  private void decode(int at, float[] samples, int from, int to) {
    int step = sampleBytes * channels;
    switch (encoding) {
      case PCM_ENCODING_INT16 -> int16(block, at, step, samples, from, to);
      case PCM_ENCODING_INT24 -> int24(block, at, step, samples, from, to);
      case PCM_ENCODING_INT32 -> int32(block, at, step, samples, from, to);
      default -> float32(block, at, step, samples, from, to);
    }
  }

  private static void int16(ByteBuffer in, int at, int step, float[] samples, int from, int to) {
    for (int i = from, b = at; i < to; i++, b += step) {
      samples[i] = in.getShort(b) / 0x1p15f;
    }
  }

  private static void int24(ByteBuffer in, int at, int step, float[] samples, int from, int to) {
    for (int i = from, b = at; i < to; i++, b += step) {
      samples[i] = (in.get(b + 2) << 16 | in.getShort(b) & 0xffff) / 0x1p23f;
    }
  }

  private static void int32(ByteBuffer in, int at, int step, float[] samples, int from, int to) {
    for (int i = from, b = at; i < to; i++, b += step) {
      samples[i] = in.getInt(b) / 0x1p31f;
    }
  }

  private static void float32(ByteBuffer in, int at, int step, float[] samples, int from, int to) {
    for (int i = from, b = at; i < to; i++, b += step) {
      samples[i] = in.getFloat(b);
    }
  }

  /** Requests the first messages, so that they arrive while the reader's thread wakes up. */
  void askAhead() {
    ask(WINDOW_BYTES / Limits.AUDIO_BYTES);
  }

  /** Waits for the next piece; null at the end. Messages are requested outside the lock. */
  private ByteString take() {
    if (ahead == 0) {
      askAhead();
    }
    ByteString next = poll();
    if (next == null) {
      CoreScheduler.pause();
      try {
        next = await();
      } finally {
        CoreScheduler.resume();
      }
    }
    if (next != null) {
      ahead--;
      ask(Math.max(1, Math.min(WINDOW, WINDOW_BYTES / Math.max(1, next.size()))));
    }
    return next;
  }

  private void ask(int window) {
    for (; ahead < window; ahead++) {
      askForMessage.run();
    }
  }

  private synchronized ByteString poll() {
    return failure == null ? arrived.poll() : null;
  }

  private synchronized ByteString await() {
    ClientWait wait = new ClientWait();
    while (arrived.isEmpty() && !ended && failure == null) {
      if (!isRecorded) {
        wait.check("audio", "did not come for", "send it, or end the stream");
      }
      try {
        wait(isRecorded ? 0 : ClientWait.LOOK_MS);
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
        throw ProblemException.cancelled();
      }
    }
    if (failure != null) {
      throw failure;
    }
    return arrived.poll();
  }

  @Override
  public synchronized void close() {
    closed = true;
    arrived.clear();
  }
}
