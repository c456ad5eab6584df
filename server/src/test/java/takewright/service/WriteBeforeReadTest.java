package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.protobuf.ByteString;
import com.google.protobuf.Message;
import io.grpc.CallOptions;
import io.grpc.ClientInterceptors;
import io.grpc.ManagedChannel;
import io.grpc.Metadata;
import io.grpc.MethodDescriptor;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.stub.ClientCallStreamObserver;
import io.grpc.stub.ClientCalls;
import io.grpc.stub.ClientResponseObserver;
import io.grpc.stub.MetadataUtils;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AudioInput;
import takewright.v1.AudioOutput;
import takewright.v1.DenoiseConfig;
import takewright.v1.DenoiseRequest;
import takewright.v1.FollowSessionConfig;
import takewright.v1.FollowSessionRequest;
import takewright.v1.LayerConfig;
import takewright.v1.LayerRequest;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.PcmEncoding;
import takewright.v1.RetuneConfig;
import takewright.v1.RetuneRequest;
import takewright.v1.SegmentConfig;
import takewright.v1.SegmentRequest;
import takewright.v1.SessionServiceGrpc;

/**
 * A client that sends all its audio before it asks for the first answer, as a plain script does, is
 * served by every streamed call: over TCP, with more audio than all windows on the way hold.
 */
class WriteBeforeReadTest {
  private static final int RATE = 48_000;

  /** 5.8 MB as floats: HTTP/2's windows and the service's own hold some 3 MB. */
  private static final int SECONDS = 30;

  private static final int PIECE_BYTES = 64 * 1024;

  /** What waits for the client on its side: HTTP/2's first window (RFC 9113, 6.9.2). */
  private static final int WINDOW_BYTES = 65_535;

  @TempDir static Path folder;
  private static TakewrightServer server;
  private static ManagedChannel channel;
  private static byte[] audio;

  @BeforeAll
  static void start() throws Exception {
    server =
        TakewrightServer.start(
            new ServerSettings(
                ServerSettings.DEFAULT_HOST,
                0,
                List.of(folder.toRealPath()),
                folder.toRealPath().resolve("token"),
                null,
                -1,
                -1,
                0,
                null));
    channel =
        NettyChannelBuilder.forTarget(server.address())
            .usePlaintext()
            .flowControlWindow(WINDOW_BYTES)
            .build();
    audio = notes();
  }

  @AfterAll
  static void stop() throws Exception {
    channel.shutdownNow();
    server.close();
  }

  /** A note of A4 in every two seconds, in a room of noise. */
  private static byte[] notes() {
    Random room = new Random(7);
    float[] samples = new float[SECONDS * RATE];
    for (int i = 0; i < samples.length; i++) {
      int at = i % (2 * RATE);
      double fade = Math.min(1, Math.min(at, 1.2 * RATE - at) / (0.01 * RATE));
      double note = Math.max(0, fade) * 0.2 * Math.sin(2 * Math.PI * 440 * i / RATE);
      samples[i] = (float) (note + 3e-4 * room.nextGaussian());
    }
    return Calls.floats(samples);
  }

  private static AudioInput input() {
    return Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1);
  }

  static Stream<Arguments> calls() {
    AudioOutput back = AudioOutput.newBuilder().setPcm(PcmEncoding.PCM_ENCODING_FLOAT32).build();
    return Stream.of(
        Arguments.of(
            OperationsServiceGrpc.getSegmentMethod(),
            SegmentRequest.newBuilder()
                .setConfig(SegmentConfig.newBuilder().setInput(input()))
                .build()),
        Arguments.of(
            OperationsServiceGrpc.getAnalyseMethod(),
            AnalyseRequest.newBuilder()
                .setConfig(AnalyseConfig.newBuilder().setInput(input()).setBlockMs(10))
                .build()),
        Arguments.of(
            OperationsServiceGrpc.getDenoiseMethod(),
            DenoiseRequest.newBuilder()
                .setConfig(DenoiseConfig.newBuilder().setInput(input()).setOutput(back))
                .build()),
        Arguments.of(
            OperationsServiceGrpc.getRetuneMethod(),
            RetuneRequest.newBuilder()
                .setConfig(
                    RetuneConfig.newBuilder().setInput(input()).setOutput(back).setCents(-50))
                .build()),
        Arguments.of(
            OperationsServiceGrpc.getLayerMethod(),
            LayerRequest.newBuilder()
                .setConfig(LayerConfig.newBuilder().setInput(input()).setOutput(back))
                .build()),
        Arguments.of(
            SessionServiceGrpc.getFollowSessionMethod(),
            FollowSessionRequest.newBuilder()
                .setConfig(
                    FollowSessionConfig.newBuilder()
                        .setSheetText(
                            "library: Larkfell\ntakes:\n  - {file: a.wav, articulation: sustain,"
                                + " notes: [A4], round_robins: 25}\n")
                        .setFormat(input().getPcm()))
                .build()));
  }

  @ParameterizedTest(name = "{0}")
  @MethodSource("calls")
  <Q extends Message, A extends Message> void all(MethodDescriptor<Q, A> method, Q config)
      throws Exception {
    Metadata token = new Metadata();
    token.put(
        Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER),
        "Bearer " + Files.readString(folder.resolve("token")).strip());
    Reluctant<Q, A> client = new Reluctant<>();
    ClientCalls.asyncBidiStreamingCall(
        ClientInterceptors.intercept(channel, MetadataUtils.newAttachHeadersInterceptor(token))
            .newCall(method, CallOptions.DEFAULT),
        client);
    client.send(config);
    for (int at = 0; at < audio.length; at += PIECE_BYTES) {
      Message.Builder piece = config.newBuilderForType();
      piece.setField(
          piece.getDescriptorForType().findFieldByName("audio"),
          ByteString.copyFrom(audio, at, Math.min(PIECE_BYTES, audio.length - at)));
      @SuppressWarnings("unchecked") // of the same type as the settings
      Q message = (Q) piece.build();
      client.send(message);
    }
    client.call.onCompleted();

    assertEquals(0, client.answers.size(), "nothing was asked for yet");
    client.call.request(Integer.MAX_VALUE);
    assertTrue(client.over.await(5, TimeUnit.MINUTES), "the call does not end");
    assertEquals(null, client.failure);
    assertTrue(client.answers.size() >= 2, "" + client.answers.size());
  }

  /** Asks for no answer until it is told to. */
  private static final class Reluctant<Q, A> implements ClientResponseObserver<Q, A> {
    private final List<A> answers = new ArrayList<>();
    private final CountDownLatch over = new CountDownLatch(1);
    private ClientCallStreamObserver<Q> call;
    private volatile Throwable failure;

    @Override
    public void beforeStart(ClientCallStreamObserver<Q> started) {
      call = started;
      call.disableAutoRequestWithInitial(0);
      call.setOnReadyHandler(this::wake);
    }

    private synchronized void wake() {
      notifyAll();
    }

    /** Sends a message once there is room for it. */
    synchronized void send(Q message) throws InterruptedException {
      long until = System.nanoTime() + TimeUnit.SECONDS.toNanos(90);
      while (!call.isReady() && failure == null) {
        assertTrue(System.nanoTime() < until, "the service takes no more audio");
        wait(1000);
      }
      assertEquals(null, failure);
      call.onNext(message);
    }

    @Override
    public void onNext(A answer) {
      answers.add(answer);
    }

    @Override
    public void onError(Throwable thrown) {
      failure = thrown;
      wake();
      over.countDown();
    }

    @Override
    public void onCompleted() {
      over.countDown();
    }
  }
}
