package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.ManagedChannel;
import io.grpc.Status;
import io.grpc.inprocess.InProcessChannelBuilder;
import io.grpc.stub.StreamObserver;
import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.AudioInput;
import takewright.v1.BlockFacts;
import takewright.v1.Kind;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.OperationsServiceGrpc.OperationsServiceStub;
import takewright.v1.PcmEncoding;

/** What Analyse tells while audio arrives. */
class AnalyseBlocksTest {
  private static final int RATE = 48_000;

  @TempDir Path folder;
  private TakewrightServer server;
  private ManagedChannel channel;
  private OperationsServiceStub stub;

  @BeforeEach
  void start() throws IOException {
    folder = folder.toRealPath();
    server = TakewrightServer.startInProcess();
    channel = InProcessChannelBuilder.forName(server.address()).build();
    stub = OperationsServiceGrpc.newStub(channel);
  }

  @AfterEach
  void stop() throws IOException {
    channel.shutdownNow();
    server.close();
  }

  private static AnalyseRequest config(AudioInput input, double blockMs, Kind kind) {
    return AnalyseRequest.newBuilder()
        .setConfig(AnalyseConfig.newBuilder().setInput(input).setKind(kind).setBlockMs(blockMs))
        .build();
  }

  private static AudioInput pcm() {
    return Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1);
  }

  /** Not the whole audio is sent before the blocks of what was sent are here. */
  @Test
  void blocksComeWhileTheAudioArrives() throws InterruptedException {
    byte[] bytes = Calls.floats(Calls.note(RATE, 220).channel(0));
    BlockingQueue<AnalyseResponse> answers = new LinkedBlockingQueue<>();
    BlockingQueue<Object> over = new LinkedBlockingQueue<>();
    StreamObserver<AnalyseRequest> call =
        stub.analyse(
            new StreamObserver<>() {
              @Override
              public void onNext(AnalyseResponse answer) {
                answers.add(answer);
              }

              @Override
              public void onError(Throwable failure) {
                over.add(failure);
              }

              @Override
              public void onCompleted() {
                over.add("done");
              }
            });
    call.onNext(config(pcm(), 100, Kind.KIND_UNSPECIFIED));
    // 0.95 s, in messages that end within frames and blocks.
    int sent = 4 * RATE * 95 / 100;
    for (int at = 0; at < sent; at += 5001) {
      call.onNext(Calls.audio(Arrays.copyOfRange(bytes, at, Math.min(sent, at + 5001))));
    }
    assertEquals(RATE, Calls.format(answers.poll(30, TimeUnit.SECONDS)).getSampleRateHz());
    for (int block = 0; block < 9; block++) {
      AnalyseResponse answer = answers.poll(30, TimeUnit.SECONDS);
      assertNotNull(answer, "block " + block);
      assertEquals(block * 4800L, answer.getBlock().getFrames().getStartFrame());
      assertEquals((block + 1) * 4800L, answer.getBlock().getFrames().getEndFrame());
      assertEquals(block >= 3, answer.getBlock().hasMomentaryLufs());
      if (block >= 7) {
        assertEquals("A3", answer.getBlock().getPitch().getNote());
      }
    }
    call.onNext(Calls.audio(Arrays.copyOfRange(bytes, sent, bytes.length)));
    call.onCompleted();
    assertEquals("done", over.poll(30, TimeUnit.SECONDS));
    List<AnalyseResponse> rest = new ArrayList<>(answers);
    assertEquals(12, rest.size());
    assertEquals(57, rest.get(11).getFacts().getPitch().getMidi());
  }

  @Test
  void theFactsAreTheSameWithBlocksAndTheBlocksThoseOfTheFile() throws IOException {
    Clip note = Calls.note(RATE, 220);
    Path file = folder.resolve("note.wav");
    WavWriter.write(file, note, 32, WavChunks.NONE);
    List<AnalyseResponse> plain = Calls.stream(stub::analyse, Calls.analyse(Calls.file(file)));
    assertEquals(1, plain.size());
    List<AnalyseResponse> ofFile =
        Calls.stream(stub::analyse, config(Calls.file(file), 70, Kind.KIND_UNSPECIFIED));
    assertEquals(plain.get(0), ofFile.get(ofFile.size() - 1));
    // 2 s in blocks of 70 ms: 28 whole ones and 40 ms.
    assertEquals(29 + 1, ofFile.size());
    BlockFacts last = ofFile.get(28).getBlock();
    assertEquals(2L * RATE, last.getFrames().getEndFrame());
    assertEquals(RATE * 4 / 100, last.getFrames().getEndFrame() - last.getFrames().getStartFrame());
  }

  @Test
  void onlyHitsAndClustersHaveNoPitchOfTheMoment() {
    byte[] bytes = Calls.floats(Calls.note(RATE, 220).channel(0));
    for (Kind kind : List.of(Kind.KIND_UNPITCHED, Kind.KIND_CLUSTER, Kind.KIND_PHRASE)) {
      List<AnalyseResponse> answers =
          Calls.stream(stub::analyse, config(pcm(), 500, kind), Calls.audio(bytes));
      assertEquals(5, answers.size());
      assertEquals(kind == Kind.KIND_PHRASE, answers.get(2).getBlock().hasPitch());
      assertTrue(answers.get(4).hasFacts());
      assertFalse(answers.get(4).getFacts().hasPitch());
    }
  }

  @Test
  void lengthsOutOfRangeAreRefused() {
    for (double blockMs : new double[] {0, 9, 1001, Double.NaN}) {
      Calls.refused(
          Status.Code.INVALID_ARGUMENT,
          () -> Calls.stream(stub::analyse, config(pcm(), blockMs, Kind.KIND_UNSPECIFIED)),
          "block_ms");
    }
  }
}
