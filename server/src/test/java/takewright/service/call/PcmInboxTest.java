package takewright.service.call;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.protobuf.ByteString;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.util.Arrays;
import java.util.Random;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.concurrent.atomic.AtomicReference;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.service.Calls;
import takewright.service.access.Limits;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;

class PcmInboxTest {
  private static PcmFormat format(PcmEncoding encoding, int channels) {
    return PcmFormat.newBuilder()
        .setEncoding(encoding)
        .setSampleRateHz(48_000)
        .setChannels(channels)
        .build();
  }

  @Property(tries = 200)
  void framesDoNotDependOnWhereMessagesEnd(
      @ForAll Random random,
      @ForAll @IntRange(min = 1, max = 5) int channels,
      @ForAll @IntRange(min = 0, max = 3) int which)
      throws IOException {
    PcmEncoding encoding = PcmEncoding.forNumber(which + 1);
    int bytes = PcmInbox.sampleBytes("", encoding);
    int frames = random.nextInt(300);
    // Whole numbers of 16 bits fit every encoding exactly.
    float[][] sent = new float[channels][frames];
    ByteBuffer wire = ByteBuffer.allocate(frames * channels * bytes).order(ByteOrder.LITTLE_ENDIAN);
    for (int i = 0; i < frames; i++) {
      for (int c = 0; c < channels; c++) {
        int value = random.nextInt(65_536) - 32_768;
        sent[c][i] = value / 32_768f;
        switch (encoding) {
          case PCM_ENCODING_INT16 -> wire.putShort((short) value);
          case PCM_ENCODING_INT24 -> wire.put((byte) 0).putShort((short) value);
          case PCM_ENCODING_INT32 -> wire.putInt(value << 16);
          default -> wire.putFloat(value / 32_768f);
        }
      }
    }
    PcmInbox inbox = new PcmInbox("config.input.pcm.", format(encoding, channels), () -> {});
    byte[] all = wire.array();
    for (int at = 0; at < all.length; ) {
      int n = Math.min(all.length - at, random.nextInt(40));
      inbox.put(ByteString.copyFrom(all, at, n));
      at += n;
    }
    inbox.end();
    Clip got = Clip.read(inbox, frames + 1);
    assertEquals(frames, got.frames());
    for (int c = 0; c < channels; c++) {
      assertArrayEquals(sent[c], got.channel(c));
    }
  }

  @Test
  void refusesAStreamThatEndsInsideAFrame() {
    PcmInbox inbox =
        new PcmInbox("config.input.pcm.", format(PcmEncoding.PCM_ENCODING_INT16, 2), () -> {});
    inbox.put(ByteString.copyFrom(new byte[7]));
    inbox.end();
    StatusRuntimeException refused =
        Calls.told(assertThrows(ProblemException.class, () -> Clip.read(inbox, 10)));
    assertEquals(Status.Code.INVALID_ARGUMENT, refused.getStatus().getCode());
    assertTrue(refused.getMessage().contains("3 bytes are left over"), refused.getMessage());
  }

  @Test
  void tellsHowMuchIsThereAndWhenItIsOver() throws IOException {
    PcmInbox inbox =
        new PcmInbox("config.input.pcm.", format(PcmEncoding.PCM_ENCODING_INT16, 2), () -> {});
    inbox.put(ByteString.copyFrom(new byte[1]));
    inbox.put(ByteString.copyFrom(new byte[4 * 30]));
    inbox.put(ByteString.copyFrom(new byte[3]));
    inbox.end();
    assertEquals(30, inbox.framesInHand(), "the frame that is cut does not exist yet");
    assertEquals(20, inbox.read(new float[2][20], 0, 20));
    assertEquals(10, inbox.framesInHand());
    assertEquals(10, inbox.read(new float[2][20], 0, 20));
    assertEquals(1, inbox.framesInHand());
    assertEquals(1, inbox.read(new float[2][20], 0, 20));
    assertEquals(0, inbox.framesInHand());
    assertEquals(-1, inbox.read(new float[2][20], 0, 20));
  }

  @Test
  void asksForNoMoreThanItsWindowAheadOfTheReader() throws IOException {
    AtomicInteger asked = new AtomicInteger();
    PcmInbox inbox =
        new PcmInbox(
            "config.input.pcm.", format(PcmEncoding.PCM_ENCODING_INT16, 1), asked::incrementAndGet);
    assertEquals(0, asked.get(), "nothing is asked for before someone reads");
    for (int i = 0; i < 3; i++) {
      inbox.put(ByteString.copyFrom(new byte[20]));
    }
    float[][] planar = new float[1][10];
    assertEquals(10, inbox.read(planar, 0, 10));
    assertEquals(PcmInbox.WINDOW + 1, asked.get(), "the window, and one for that taken out");
    assertEquals(10, inbox.read(planar, 0, 10));
    assertEquals(PcmInbox.WINDOW + 2, asked.get());
    // Of large messages two ahead are as much as a call may hold.
    for (int i = 0; i < 4; i++) {
      inbox.put(ByteString.copyFrom(new byte[Limits.AUDIO_BYTES]));
    }
    float[][] large = new float[1][3 * Limits.AUDIO_BYTES / 2];
    for (int taken = 0; taken < 5; taken++) {
      inbox.read(large, 0, Limits.AUDIO_BYTES / 2);
    }
    assertEquals(9, asked.get(), "seven were sent; two ahead of those that came");
  }

  @Test
  void aReaderThatWaitsEndsWithTheCall() throws InterruptedException {
    PcmInbox inbox =
        new PcmInbox("config.input.pcm.", format(PcmEncoding.PCM_ENCODING_INT16, 1), () -> {});
    CountDownLatch reading = new CountDownLatch(1);
    AtomicReference<Throwable> ended = new AtomicReference<>();
    Thread reader =
        new Thread(
            () -> {
              try {
                reading.countDown();
                Clip.read(inbox, 10);
              } catch (Throwable e) {
                ended.set(e);
              }
            });
    reader.start();
    assertTrue(reading.await(10, TimeUnit.SECONDS));
    inbox.fail(ProblemException.cancelled());
    reader.join(10_000);
    assertEquals(Reason.CANCELLED, ((ProblemException) ended.get()).problem().reason());
  }

  @Test
  void refusesFormatsOutsideTheContract() {
    for (int rate : new int[] {0, 7999, 192_001, -1}) {
      refused(format(PcmEncoding.PCM_ENCODING_INT16, 1).toBuilder().setSampleRateHz(rate).build());
    }
    for (int channels : new int[] {0, 33, -1}) {
      refused(format(PcmEncoding.PCM_ENCODING_INT16, channels));
    }
    refused(format(PcmEncoding.PCM_ENCODING_UNSPECIFIED, 1));
    refused(format(PcmEncoding.PCM_ENCODING_INT16, 1).toBuilder().setEncodingValue(99).build());
  }

  private static void refused(PcmFormat format) {
    StatusRuntimeException refused =
        Calls.told(
            assertThrows(
                ProblemException.class, () -> new PcmInbox("config.input.pcm.", format, () -> {})));
    assertEquals(Status.Code.INVALID_ARGUMENT, refused.getStatus().getCode());
    assertTrue(refused.getMessage().contains("config.input.pcm."), refused.getMessage());
  }

  @Test
  void aSpoolGivesTheSameAudioAsOftenAsWanted() throws IOException {
    Random random = new Random(1);
    float[][] audio = new float[3][20_000];
    for (float[] channel : audio) {
      for (int i = 0; i < channel.length; i++) {
        channel[i] = random.nextFloat() - 0.5f;
      }
    }
    try (Spool spool = new Spool(Clip.of(48_000, audio).source())) {
      for (int time = 0; time < 2; time++) {
        Clip got = Clip.read(spool.open(), 30_000);
        assertTrue(
            Arrays.deepEquals(
                audio, new float[][] {got.channel(0), got.channel(1), got.channel(2)}));
      }
    }
  }
}
