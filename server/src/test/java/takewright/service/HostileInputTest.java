package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.protobuf.Any;
import com.google.protobuf.ByteString;
import com.google.rpc.BadRequest;
import com.google.rpc.ErrorInfo;
import com.google.rpc.RetryInfo;
import io.grpc.CallOptions;
import io.grpc.ManagedChannel;
import io.grpc.Metadata;
import io.grpc.MethodDescriptor;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.protobuf.StatusProto;
import io.grpc.stub.ClientCalls;
import io.grpc.stub.MetadataUtils;
import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.Socket;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.EnumSet;
import java.util.List;
import java.util.Random;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.function.Executable;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.service.access.Limits;
import takewright.service.wire.ErrorDetails;
import takewright.service.wire.Failures;
import takewright.v1.AnalyseResponse;
import takewright.v1.AudioInput;
import takewright.v1.FollowSessionConfig;
import takewright.v1.FollowSessionRequest;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.NamingServiceGrpc;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.OperationsServiceGrpc.OperationsServiceStub;
import takewright.v1.ParseNameRequest;
import takewright.v1.PcmEncoding;
import takewright.v1.SegmentConfig;
import takewright.v1.SegmentRequest;
import takewright.v1.SessionServiceGrpc;

/** What no honest client sends, to a server over TCP; after each the server answers as ever. */
class HostileInputTest {
  private static final int RATE = 48_000;

  @TempDir Path folder;

  private TakewrightServer server;
  private ManagedChannel channel;
  private OperationsServiceStub stub;

  @BeforeEach
  void start() throws IOException {
    folder = folder.toRealPath();
    Files.createDirectory(folder.resolve("granted"));
    Files.writeString(folder.resolve("secret.wav"), "not yours");
    server =
        TakewrightServer.start(
            new ServerSettings(
                ServerSettings.DEFAULT_HOST,
                0,
                List.of(folder.resolve("granted")),
                folder.resolve("token")));
    Metadata headers = new Metadata();
    headers.put(
        Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER),
        "Bearer " + Files.readString(server.tokenFile()).strip());
    channel =
        NettyChannelBuilder.forTarget(server.address())
            .usePlaintext()
            .intercept(MetadataUtils.newAttachHeadersInterceptor(headers))
            .build();
    stub = OperationsServiceGrpc.newStub(channel).withDeadlineAfter(60, TimeUnit.SECONDS);
  }

  @AfterEach
  void unharmed() throws IOException {
    List<AnalyseResponse> answers =
        Calls.stream(
            stub::analyse,
            Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1)),
            Calls.audio(Calls.floats(Calls.note(RATE, 440).channel(0))));
    assertEquals("A4", answers.get(0).getFacts().getPitch().getNote());
    channel.shutdownNow();
    server.close();
  }

  private void refused(Status.Code code, AudioInput input, byte[] audio, String... words) {
    Calls.refused(
        code, () -> Calls.stream(stub::analyse, Calls.analyse(input), Calls.audio(audio)), words);
  }

  @Test
  void formatsThatAreNone() {
    byte[] some = new byte[4800];
    for (int rate : new int[] {0, -1, 1, 7999, 192_001, Integer.MAX_VALUE, Integer.MIN_VALUE}) {
      refused(
          Status.Code.INVALID_ARGUMENT,
          Calls.pcm(PcmEncoding.PCM_ENCODING_INT16, rate, 1),
          some,
          "sample_rate_hz",
          "8000 to 192000");
    }
    for (int channels : new int[] {0, -1, 33, 1 << 30, Integer.MAX_VALUE}) {
      refused(
          Status.Code.INVALID_ARGUMENT,
          Calls.pcm(PcmEncoding.PCM_ENCODING_INT16, RATE, channels),
          some,
          "channels",
          "1 to 32");
    }
    refused(
        Status.Code.INVALID_ARGUMENT,
        Calls.pcm(PcmEncoding.PCM_ENCODING_UNSPECIFIED, RATE, 1),
        some,
        "encoding");
  }

  @Test
  void samplesThatAreNoneAndLengthsThatDoNotFit() {
    AudioInput floats = Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1);
    for (float bad : new float[] {Float.NaN, Float.POSITIVE_INFINITY, Float.NEGATIVE_INFINITY}) {
      float[] samples = new float[RATE];
      samples[777] = bad;
      refused(
          Status.Code.INVALID_ARGUMENT, floats, Calls.floats(samples), "not a number", "frame 777");
    }
    refused(
        Status.Code.INVALID_ARGUMENT,
        Calls.pcm(PcmEncoding.PCM_ENCODING_INT24, RATE, 2),
        new byte[6 * 100 + 5],
        "inside a frame",
        "5 bytes");
    refused(
        Status.Code.RESOURCE_EXHAUSTED,
        floats,
        new byte[Limits.AUDIO_BYTES + 1],
        "`audio`",
        "1048576");
  }

  /** Whoever sends a whole file in one message is told so, and does not see a cancellation. */
  @ParameterizedTest
  @ValueSource(ints = {5, 40})
  void messagesThatAreTooLongAreAnswered(int mebibytes) throws Exception {
    byte[] tooLong = new byte[mebibytes << 20];
    AudioInput input = Calls.pcm(PcmEncoding.PCM_ENCODING_INT16, RATE, 1);
    for (int i = 0; i < 5; i++) {
      assertTooLong(() -> Calls.stream(stub::analyse, Calls.analyse(input), Calls.audio(tooLong)));
    }
    FollowSessionRequest follow =
        FollowSessionRequest.newBuilder()
            .setConfig(
                FollowSessionConfig.newBuilder()
                    .setSheetText(
                        "library: Larkfell\ntakes: [{file: a.wav, articulation: a, notes: [A3]}]")
                    .setFormat(input.getPcm()))
            .build();
    FollowSessionRequest audio =
        FollowSessionRequest.newBuilder().setAudio(ByteString.copyFrom(tooLong)).build();
    assertTooLong(
        () -> Calls.all(SessionServiceGrpc.newStub(channel)::followSession, follow, audio));
    assertTooLong(
        () ->
            NamingServiceGrpc.newBlockingStub(channel)
                .parseName(ParseNameRequest.newBuilder().setNameBytes(audio.getAudio()).build()));
  }

  private static void assertTooLong(Executable call) throws Exception {
    StatusRuntimeException refused = assertThrows(StatusRuntimeException.class, call);
    assertEquals(Status.Code.RESOURCE_EXHAUSTED, refused.getStatus().getCode(), refused::toString);
    com.google.rpc.Status status = StatusProto.fromThrowable(refused);
    ErrorInfo info = status.getDetails(0).unpack(ErrorInfo.class);
    assertEquals("MESSAGE_TOO_LARGE", info.getReason());
    assertEquals(
        "send audio in pieces of at most 1048576 bytes", info.getMetadataOrThrow("remedy"));
  }

  /** 64 MiB of zeros are some 64 KiB on the wire. */
  @Test
  void compressedMessagesMayBeNoLonger() throws Exception {
    NamingServiceGrpc.NamingServiceBlockingStub zipped =
        NamingServiceGrpc.newBlockingStub(channel).withCompression("gzip");
    ParseNameRequest.Builder name = ParseNameRequest.newBuilder();
    Calls.refused(
        Status.Code.RESOURCE_EXHAUSTED,
        () -> zipped.parseName(name.setNameBytes(ByteString.copyFrom(new byte[64 << 20])).build()));
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () -> zipped.parseName(name.setName("a".repeat(1 << 20)).build()),
        "does not fit");
  }

  @Test
  void settingsOutOfRange() {
    for (double bad :
        new double[] {-1, 1e9, Double.NaN, Double.POSITIVE_INFINITY, Double.MIN_VALUE - 1}) {
      Calls.refused(
          Status.Code.INVALID_ARGUMENT,
          () ->
              Calls.stream(
                  stub::segment,
                  SegmentRequest.newBuilder()
                      .setConfig(
                          SegmentConfig.newBuilder()
                              .setInput(Calls.pcm(PcmEncoding.PCM_ENCODING_INT16, RATE, 1))
                              .setMinGapMs(bad))
                      .build()),
          "min_gap_ms");
    }
  }

  @Test
  void pathsThatLeadElsewhere() {
    String granted = folder.resolve("granted").toString();
    for (String path :
        List.of(
            granted + "/../secret.wav",
            granted + "/./../secret.wav",
            granted + "/x/../../secret.wav",
            folder + "/secret.wav",
            "/etc/passwd",
            "/proc/self/mem",
            "/dev/zero")) {
      Calls.refused(
          Status.Code.PERMISSION_DENIED,
          () ->
              Calls.stream(
                  stub::analyse, Calls.analyse(AudioInput.newBuilder().setFile(path).build())),
          "granted");
    }
    for (String path : List.of("secret.wav", "../secret.wav", "", "\0", "a\0b")) {
      Calls.refused(
          Status.Code.INVALID_ARGUMENT,
          () ->
              Calls.stream(
                  stub::analyse, Calls.analyse(AudioInput.newBuilder().setFile(path).build())),
          "config.input");
    }
  }

  /** A length of nearly 2 GiB ahead of a few bytes, by hand, since no library writes it. */
  @Test
  void aClaimOf2GiBIsRefusedBeforeAnythingIsSetAsideForIt() throws IOException {
    byte[] wav = "RIFF....WAVEfmt ................data....".getBytes("US-ASCII");
    byte[] fmt = {16, 0, 0, 0, 1, 0, 1, 0, (byte) 0x80, (byte) 0xbb, 0, 0, 0, 0x77, 1, 0};
    System.arraycopy(fmt, 0, wav, 16, 16);
    java.util.Arrays.fill(wav, 4, 8, (byte) 0x7f);
    java.util.Arrays.fill(wav, wav.length - 4, wav.length, (byte) 0x7f);
    Path file = Files.write(folder.resolve("granted/claim.wav"), wav);
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () ->
            Calls.stream(
                stub::analyse,
                Calls.analyse(AudioInput.newBuilder().setFile(file.toString()).build())));
    // A message's length in gRPC's own framing, ahead of a body that never comes.
    Status.Code code =
        raw("takewright.v1.OperationsService/Analyse", new byte[] {0x0a, -1, -1, -1, -1, 7, 1});
    assertTrue(code != Status.Code.OK, code.name());
  }

  /** Random bytes as messages of every method are answered with a status, none with a crash. */
  @Test
  void randomBytesAsMessages() {
    Set<Status.Code> right =
        EnumSet.of(
            Status.Code.INVALID_ARGUMENT,
            Status.Code.PERMISSION_DENIED,
            Status.Code.NOT_FOUND,
            Status.Code.UNIMPLEMENTED,
            // Bytes that are no message of protobuf: gRPC's own answer, before our code sees them.
            Status.Code.UNKNOWN,
            Status.Code.CANCELLED,
            // Empty requests to list, or names of nothing, are right.
            Status.Code.OK);
    Random random = new Random(99);
    for (var service :
        List.of(
            OperationsServiceGrpc.getServiceDescriptor(),
            LibraryServiceGrpc.getServiceDescriptor(),
            NamingServiceGrpc.getServiceDescriptor(),
            SessionServiceGrpc.getServiceDescriptor())) {
      for (MethodDescriptor<?, ?> method : service.getMethods()) {
        for (int round = 0; round < 20; round++) {
          byte[] bytes = new byte[random.nextInt(200)];
          random.nextBytes(bytes);
          Status.Code code = raw(method.getFullMethodName(), bytes);
          assertTrue(right.contains(code), method.getFullMethodName() + " gave " + code);
        }
      }
    }
  }

  /** Random bytes, and a browser's request, where HTTP/2 is spoken. */
  @Test
  void randomBytesAsAConnection() throws IOException {
    Random random = new Random(98);
    for (int round = 0; round < 30; round++) {
      byte[] bytes = new byte[1 + random.nextInt(5000)];
      random.nextBytes(bytes);
      if (round % 3 == 1) {
        bytes = "GET / HTTP/1.1\r\nHost: x\r\n\r\n".getBytes("US-ASCII");
      } else if (round % 3 == 2) {
        byte[] preface = "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n".getBytes("US-ASCII");
        System.arraycopy(preface, 0, bytes, 0, Math.min(bytes.length, preface.length));
      }
      try (Socket socket = new Socket(InetAddress.getLoopbackAddress(), server.port())) {
        socket.setSoTimeout(200);
        OutputStream out = socket.getOutputStream();
        out.write(bytes);
        out.flush();
        socket.getInputStream().read();
      } catch (IOException e) {
        // Hung up on, or left waiting: both are right.
      }
    }
  }

  /** What programs read of errors: the field, the reason, and whether to try again. */
  @Test
  void errorsCarryDetails() throws Exception {
    StatusRuntimeException refused =
        assertThrows(
            StatusRuntimeException.class,
            () ->
                Calls.stream(
                    stub::analyse, Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_INT16, 1, 1))));
    assertEquals(Status.Code.INVALID_ARGUMENT, refused.getStatus().getCode());
    com.google.rpc.Status status = StatusProto.fromThrowable(refused);
    boolean hasField = false;
    boolean hasReason = false;
    for (Any detail : status.getDetailsList()) {
      if (detail.is(BadRequest.class)) {
        hasField =
            detail
                .unpack(BadRequest.class)
                .getFieldViolations(0)
                .getField()
                .equals("config.input.pcm.sample_rate_hz");
      }
      if (detail.is(ErrorInfo.class)) {
        ErrorInfo info = detail.unpack(ErrorInfo.class);
        hasReason =
            info.getReason().equals("INPUT_INVALID") && info.getDomain().equals("takewright");
      }
    }
    assertTrue(hasField && hasReason, status::toString);

    StatusRuntimeException overload =
        ErrorDetails.of(Failures.of(new java.util.concurrent.RejectedExecutionException()));
    com.google.rpc.Status hint = StatusProto.fromThrowable(overload);
    assertNotEquals(
        0,
        hint.getDetailsList().stream().filter(d -> d.is(RetryInfo.class)).count(),
        hint::toString);
    assertEquals(
        "OVERLOADED",
        hint.getDetailsList().stream()
            .filter(d -> d.is(ErrorInfo.class))
            .findFirst()
            .orElseThrow()
            .unpack(ErrorInfo.class)
            .getReason());
  }

  /** A call whose one message is these bytes; the status with which it ends. */
  private Status.Code raw(String method, byte[] bytes) {
    MethodDescriptor<byte[], byte[]> descriptor =
        MethodDescriptor.<byte[], byte[]>newBuilder()
            .setType(MethodDescriptor.MethodType.SERVER_STREAMING)
            .setFullMethodName(method)
            .setRequestMarshaller(new Bytes())
            .setResponseMarshaller(new Bytes())
            .build();
    try {
      ClientCalls.blockingServerStreamingCall(
              channel,
              descriptor,
              CallOptions.DEFAULT.withDeadlineAfter(20, TimeUnit.SECONDS),
              bytes)
          .forEachRemaining(answer -> {});
      return Status.Code.OK;
    } catch (StatusRuntimeException e) {
      return e.getStatus().getCode();
    }
  }

  private static final class Bytes implements MethodDescriptor.Marshaller<byte[]> {
    @Override
    public InputStream stream(byte[] value) {
      return new ByteArrayInputStream(value);
    }

    @Override
    public byte[] parse(InputStream stream) {
      try {
        return ByteString.readFrom(stream).toByteArray();
      } catch (IOException e) {
        throw new UncheckedIOException(e);
      }
    }
  }
}
