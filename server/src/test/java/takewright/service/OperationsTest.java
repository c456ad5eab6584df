package takewright.service;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.protobuf.ByteString;
import io.grpc.ManagedChannel;
import io.grpc.Status;
import io.grpc.inprocess.InProcessChannelBuilder;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.WavWriter;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.AudioOutput;
import takewright.v1.FollowSessionRequest;
import takewright.v1.Kind;
import takewright.v1.LayerRequest;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.OperationsServiceGrpc.OperationsServiceStub;
import takewright.v1.PcmEncoding;
import takewright.v1.RetuneConfig;
import takewright.v1.RetuneRequest;
import takewright.v1.RetuneResponse;
import takewright.v1.SegmentConfig;
import takewright.v1.SegmentRequest;
import takewright.v1.SegmentResponse;
import takewright.v1.SessionServiceGrpc;

class OperationsTest {
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

  private Path wav(String name, Clip clip) throws IOException {
    Path file = folder.resolve(name);
    WavWriter.write(file, clip, 24, WavChunks.NONE);
    return file;
  }

  private List<AnalyseResponse> analyse(AnalyseRequest... requests) {
    return Calls.stream(stub::analyse, requests);
  }

  private void refused(String word, AnalyseRequest... requests) {
    Calls.refused(Status.Code.INVALID_ARGUMENT, () -> analyse(requests), word);
  }

  /** The bytes as messages that end anywhere. */
  private static List<ByteString> pieces(byte[] all, Random random) {
    List<ByteString> pieces = new ArrayList<>();
    for (int at = 0; at < all.length; ) {
      int n = Math.min(all.length - at, random.nextInt(9000));
      pieces.add(ByteString.copyFrom(all, at, n));
      at += n;
    }
    return pieces;
  }

  @Test
  void aStreamGivesWhatTheFileGives() throws IOException {
    Path file = wav("note.wav", Calls.note(RATE, 220));
    byte[] bytes;
    try (AudioFile audio = AudioFile.open(file)) {
      bytes = Calls.floats(Clip.read(audio, (int) audio.frames()).channel(0));
    }
    List<AnalyseResponse> ofFile = analyse(Calls.analyse(Calls.file(file)));
    assertEquals(57, ofFile.get(0).getFacts().getPitch().getMidi());
    Random random = new Random(3);
    List<AnalyseRequest> requests = new ArrayList<>();
    requests.add(Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1)));
    for (ByteString piece : pieces(bytes, random)) {
      requests.add(AnalyseRequest.newBuilder().setAudio(piece).build());
    }
    assertEquals(ofFile, analyse(requests.toArray(AnalyseRequest[]::new)));

    List<SegmentResponse> regions =
        Calls.stream(
            stub::segment,
            SegmentRequest.newBuilder()
                .setConfig(SegmentConfig.newBuilder().setInput(Calls.file(file)))
                .build());
    assertTrue(regions.get(regions.size() - 1).hasSummary());
    assertEquals(2L * RATE, regions.get(regions.size() - 1).getSummary().getFrames());
    List<SegmentRequest> streamed = new ArrayList<>();
    streamed.add(
        SegmentRequest.newBuilder()
            .setConfig(
                SegmentConfig.newBuilder()
                    .setInput(Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1)))
            .build());
    for (ByteString piece : pieces(bytes, random)) {
      streamed.add(SegmentRequest.newBuilder().setAudio(piece).build());
    }
    assertEquals(regions, Calls.stream(stub::segment, streamed.toArray(SegmentRequest[]::new)));
  }

  @Test
  void messagesInTheWrongOrderAreRefused() throws IOException {
    Path file = wav("note.wav", Calls.note(RATE, 220));
    AnalyseRequest pcm = Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1));
    AnalyseRequest some = Calls.audio(new byte[400]);
    refused("`config`");
    refused("`config`", some);
    refused("neither", AnalyseRequest.getDefaultInstance());
    refused("twice", pcm, some, pcm);
    refused("twice", pcm, pcm);
    refused(
        "config.input.file",
        Calls.analyse(takewright.v1.AudioInput.newBuilder().setFile("").build()));
    refused("`audio`", Calls.analyse(Calls.file(file)), some);
    refused("config.input", Calls.analyse(takewright.v1.AudioInput.getDefaultInstance()));
    refused("neither", pcm, some, AnalyseRequest.getDefaultInstance());
  }

  @Test
  void streamsThatAreNoAudioAreRefused() {
    AnalyseRequest pcm = Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 2));
    refused("inside a frame", pcm, Calls.audio(new byte[13]));
    refused("frame 1, channel 2", pcm, Calls.audio(Calls.floats(0, 0, 0, Float.NaN)));
    refused("frame 0, channel 1", pcm, Calls.audio(Calls.floats(Float.NEGATIVE_INFINITY, 0, 0, 0)));
    refused("1048576", pcm, Calls.audio(new byte[Limits.AUDIO_BYTES + 8]));
    refused("sample_rate_hz", Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_INT16, 4000, 1)));
    refused("channels", Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_INT16, RATE, 33)));
    refused("encoding", Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_UNSPECIFIED, RATE, 1)));
  }

  @Test
  void aSampleBeyondTenMinutesIsRefusedBeforeItFillsTheMemory() {
    // 8000 Hz, one channel, 16 bits: 16000 bytes a second; ten messages of 61 s.
    List<AnalyseRequest> requests = new ArrayList<>();
    requests.add(Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_INT16, 8000, 1)));
    for (int i = 0; i < 10; i++) {
      requests.add(Calls.audio(new byte[61 * 16_000]));
    }
    refused("ten minutes", requests.toArray(AnalyseRequest[]::new));
  }

  @Test
  void settingsOutOfRangeNameTheFieldAndTheRange() throws IOException {
    Path file = wav("note.wav", Calls.note(RATE, 220));
    refused(
        "tuning_hz must be 392 to 466",
        AnalyseRequest.newBuilder()
            .setConfig(AnalyseConfig.newBuilder().setInput(Calls.file(file)).setTuningHz(500))
            .build());
    refused(
        "config.kind",
        AnalyseRequest.newBuilder()
            .setConfig(AnalyseConfig.newBuilder().setInput(Calls.file(file)).setKindValue(77))
            .build());
    SegmentConfig config = SegmentConfig.newBuilder().setInput(Calls.file(file)).build();
    for (SegmentConfig bad :
        List.of(
            config.toBuilder().setPreRollMs(-1).build(),
            config.toBuilder().setOnThresholdDb(Double.NaN).build(),
            config.toBuilder().setOnThresholdDb(5).setOffThresholdDb(6).build(),
            config.toBuilder().setMinGapMs(1e9).build(),
            config.toBuilder().setMinLengthMs(0).build(),
            config.toBuilder().setTuningHz(1).build())) {
      Calls.refused(
          Status.Code.INVALID_ARGUMENT,
          () -> Calls.stream(stub::segment, SegmentRequest.newBuilder().setConfig(bad).build()),
          "must be");
    }
  }

  @Test
  void filesThatAreNoAudioAreRefusedByName() throws IOException {
    Path empty = Files.createFile(folder.resolve("empty.wav"));
    refused(empty.toString(), Calls.analyse(Calls.file(empty)));
    Path text = Files.writeString(folder.resolve("text.wav"), "dear diary, today we recorded\n");
    refused(text.toString(), Calls.analyse(Calls.file(text)));
    byte[] whole = Files.readAllBytes(wav("whole.wav", Calls.note(RATE, 220)));
    for (int keep : new int[] {10, 30, 50, whole.length / 2, whole.length - 1}) {
      Path cut = folder.resolve("cut.wav");
      Files.write(cut, Arrays.copyOf(whole, keep));
      refused(cut.toString(), Calls.analyse(Calls.file(cut)));
    }
    refused("not a plain file", Calls.analyse(Calls.file(folder)));
    Calls.refused(
        Status.Code.NOT_FOUND,
        () -> analyse(Calls.analyse(Calls.file(folder.resolve("no.wav")))),
        "no.wav");
    refused("absolute", Calls.analyse(Calls.file(Path.of("note.wav"))));
  }

  @Test
  void aKindThatIsSaidIsTaken() throws IOException {
    Path file = wav("note.wav", Calls.note(RATE, 220));
    AnalyseResponse said =
        analyse(
                AnalyseRequest.newBuilder()
                    .setConfig(
                        AnalyseConfig.newBuilder()
                            .setInput(Calls.file(file))
                            .setKind(Kind.KIND_UNPITCHED))
                    .build())
            .get(0);
    assertEquals(Kind.KIND_UNPITCHED, said.getFacts().getKind());
    assertFalse(said.getFacts().hasPitch());
    assertEquals(
        Kind.KIND_PITCHED, analyse(Calls.analyse(Calls.file(file))).get(0).getFacts().getKind());
  }

  @Test
  void cancellingACallFreesItsWorker() throws Exception {
    Workers workers = new Workers(1, 10);
    String name = "cancel-" + System.nanoTime();
    io.grpc.Server small =
        io.grpc.inprocess.InProcessServerBuilder.forName(name)
            .directExecutor()
            .addService(new OperationsService(new Site(GrantedFolders.everything(), workers)))
            .build()
            .start();
    ManagedChannel to = InProcessChannelBuilder.forName(name).build();
    try {
      OperationsServiceStub calls = OperationsServiceGrpc.newStub(to);
      java.util.concurrent.CountDownLatch ended = new java.util.concurrent.CountDownLatch(1);
      var call =
          (io.grpc.stub.ClientCallStreamObserver<AnalyseRequest>)
              calls.analyse(
                  new io.grpc.stub.StreamObserver<>() {
                    @Override
                    public void onNext(AnalyseResponse answer) {}

                    @Override
                    public void onError(Throwable failure) {
                      ended.countDown();
                    }

                    @Override
                    public void onCompleted() {}
                  });
      call.onNext(Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1)));
      call.onNext(Calls.audio(new byte[400]));
      call.cancel("enough", null);
      assertTrue(ended.await(10, java.util.concurrent.TimeUnit.SECONDS));
      // The only worker is free again: another call gets its answer.
      Path file = wav("note.wav", Calls.note(RATE, 220));
      assertEquals(1, Calls.stream(calls::analyse, Calls.analyse(Calls.file(file))).size());
      // A deadline does the same.
      Calls.refused(
          Status.Code.DEADLINE_EXCEEDED,
          () -> {
            java.util.concurrent.CompletableFuture<AnalyseResponse> late =
                new java.util.concurrent.CompletableFuture<>();
            var open =
                calls
                    .withDeadlineAfter(100, java.util.concurrent.TimeUnit.MILLISECONDS)
                    .analyse(
                        new io.grpc.stub.StreamObserver<>() {
                          @Override
                          public void onNext(AnalyseResponse answer) {}

                          @Override
                          public void onError(Throwable failure) {
                            late.completeExceptionally(failure);
                          }

                          @Override
                          public void onCompleted() {
                            late.complete(null);
                          }
                        });
            open.onNext(Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1)));
            try {
              late.get(10, java.util.concurrent.TimeUnit.SECONDS);
            } catch (java.util.concurrent.ExecutionException e) {
              throw e.getCause();
            }
          });
      assertEquals(1, Calls.stream(calls::analyse, Calls.analyse(Calls.file(file))).size());
    } finally {
      to.shutdownNow();
      small.shutdownNow();
      workers.close();
    }
  }

  @Test
  void tooManyCallsAtOnceAreRefusedWithAHint() throws Exception {
    Workers workers = new Workers(1, 1);
    String name = "busy-" + System.nanoTime();
    io.grpc.Server small =
        io.grpc.inprocess.InProcessServerBuilder.forName(name)
            .directExecutor()
            .addService(new OperationsService(new Site(GrantedFolders.everything(), workers)))
            .build()
            .start();
    ManagedChannel to = InProcessChannelBuilder.forName(name).directExecutor().build();
    java.util.concurrent.CountDownLatch block = new java.util.concurrent.CountDownLatch(1);
    try {
      for (int i = 0; i < 2; i++) {
        workers.run(
            () -> {
              try {
                block.await(10, java.util.concurrent.TimeUnit.SECONDS);
              } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
              }
            });
      }
      Calls.refused(
          Status.Code.RESOURCE_EXHAUSTED,
          () ->
              Calls.stream(
                  OperationsServiceGrpc.newStub(to)::analyse,
                  Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1))),
          "try again");
    } finally {
      block.countDown();
      to.shutdownNow();
      small.shutdownNow();
      workers.close();
    }
  }

  @Test
  void whatIsNotFilledSaysSo() {
    Calls.refused(
        Status.Code.UNIMPLEMENTED,
        () -> Calls.stream(stub::layer, LayerRequest.getDefaultInstance()),
        "Layer is not in this version");
    Calls.refused(
        Status.Code.UNIMPLEMENTED,
        () ->
            Calls.stream(
                SessionServiceGrpc.newStub(channel)::followSession,
                FollowSessionRequest.getDefaultInstance()),
        "FollowSession is not in this version");
  }

  private RetuneRequest retune(takewright.v1.AudioInput input, AudioOutput output, Double cents) {
    RetuneConfig.Builder config = RetuneConfig.newBuilder().setInput(input).setOutput(output);
    if (cents != null) {
      config.setCents(cents);
    }
    return RetuneRequest.newBuilder().setConfig(config).build();
  }

  private static AudioOutput to(Path file) {
    return AudioOutput.newBuilder().setFile(file.toString()).build();
  }

  @Test
  void retunesToTheNearestNoteWhereNoShiftIsGiven() throws IOException {
    // 20 cents above A3.
    Path in = wav("sharp.wav", Calls.note(RATE, 220 * Math.pow(2, 20 / 1200.0)));
    byte[] before = Files.readAllBytes(in);
    Path out = folder.resolve("out.wav");
    List<RetuneResponse> answers =
        Calls.stream(stub::retune, retune(Calls.file(in), to(out), null));
    assertEquals(1, answers.size());
    assertEquals(-20, answers.get(0).getReport().getMovedCents(), 1);
    assertEquals("A3", answers.get(0).getReport().getBefore().getNote());
    try (AudioFile written = AudioFile.open(out)) {
      assertEquals(written.frames(), answers.get(0).getReport().getFrames());
    }
    assertEquals(
        0, analyse(Calls.analyse(Calls.file(out))).get(0).getFacts().getPitch().getCents(), 1.5);
    assertArrayEquals(before, Files.readAllBytes(in), "the input is as it was");
  }

  @Test
  void retuneStreamsItsResultInTheEncodingAskedFor() throws IOException {
    Clip note = Calls.note(RATE, 220);
    Path in = wav("note.wav", note);
    for (PcmEncoding encoding :
        List.of(
            PcmEncoding.PCM_ENCODING_INT16,
            PcmEncoding.PCM_ENCODING_INT24,
            PcmEncoding.PCM_ENCODING_INT32,
            PcmEncoding.PCM_ENCODING_FLOAT32)) {
      List<RetuneResponse> answers =
          Calls.stream(
              stub::retune,
              retune(Calls.file(in), AudioOutput.newBuilder().setPcm(encoding).build(), 0.0));
      assertTrue(answers.get(0).hasFormat());
      assertEquals(encoding, answers.get(0).getFormat().getEncoding());
      assertEquals(RATE, answers.get(0).getFormat().getSampleRateHz());
      RetuneResponse last = answers.get(answers.size() - 1);
      assertEquals(note.frames(), last.getReport().getFrames());
      PcmInbox inbox = new PcmInbox(answers.get(0).getFormat(), () -> {});
      for (RetuneResponse answer : answers.subList(1, answers.size() - 1)) {
        inbox.put(answer.getAudio());
      }
      inbox.end();
      Clip back = Clip.read(inbox, note.frames() + 1);
      assertEquals(note.frames(), back.frames());
      // Half a step of 16 bits, and the dither of the 24-bit input.
      assertArrayEquals(note.channel(0), back.channel(0), 0.51f / 32_768);
    }
  }

  @Test
  void outputsAreJudgedBeforeAnythingIsDone() throws IOException {
    Path in = wav("in.wav", Calls.note(RATE, 220));
    byte[] before = Files.readAllBytes(in);
    Path other = wav("other.wav", Calls.note(RATE, 330));
    byte[] otherBefore = Files.readAllBytes(other);
    Path hardLink = Files.createLink(folder.resolve("hard.wav"), in);
    Path link = Files.createSymbolicLink(folder.resolve("soft.wav"), in);
    Calls.refused(
        Status.Code.ALREADY_EXISTS,
        () -> Calls.stream(stub::retune, retune(Calls.file(in), to(other), 10.0)),
        "config.output.file",
        "replace");
    for (Path same : List.of(in, hardLink, link)) {
      AudioOutput over = to(same).toBuilder().setReplace(true).build();
      Calls.refused(
          Status.Code.INVALID_ARGUMENT,
          () -> Calls.stream(stub::retune, retune(Calls.file(in), over, 10.0)),
          "the input");
    }
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () ->
            Calls.stream(
                stub::retune, retune(Calls.file(in), AudioOutput.getDefaultInstance(), 10.0)),
        "config.output");
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () ->
            Calls.stream(
                stub::retune,
                retune(
                    Calls.file(in),
                    to(folder.resolve("x.wav")).toBuilder().setBitDepth(12).build(),
                    10.0)),
        "bit_depth");
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () ->
            Calls.stream(stub::retune, retune(Calls.file(in), to(folder.resolve("x.wav")), 5000.0)),
        "cents must be -1200 to 1200");
    Calls.refused(
        Status.Code.NOT_FOUND,
        () ->
            Calls.stream(
                stub::retune, retune(Calls.file(in), to(folder.resolve("no/x.wav")), 10.0)),
        "folder");
    assertArrayEquals(before, Files.readAllBytes(in));
    assertArrayEquals(otherBefore, Files.readAllBytes(other));
    assertEquals(List.of("hard.wav", "in.wav", "other.wav", "soft.wav"), names());
    // And with leave to replace, it does.
    Calls.stream(
        stub::retune, retune(Calls.file(in), to(other).toBuilder().setReplace(true).build(), 10.0));
    assertFalse(Arrays.equals(otherBefore, Files.readAllBytes(other)));
  }

  private List<String> names() throws IOException {
    try (var files = Files.list(folder)) {
      return files.map(f -> f.getFileName().toString()).sorted().toList();
    }
  }

  @Test
  void nothingHalfWrittenStaysWhereAStreamBreaks() {
    Path out = folder.resolve("out.wav");
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () ->
            Calls.stream(
                stub::retune,
                retune(Calls.pcm(PcmEncoding.PCM_ENCODING_INT16, RATE, 1), to(out), 10.0),
                RetuneRequest.newBuilder()
                    .setAudio(ByteString.copyFrom(new byte[200_001]))
                    .build()),
        "inside a frame");
    assertEquals(List.of(), assertDoesNotThrowNames());
  }

  private List<String> assertDoesNotThrowNames() {
    return org.junit.jupiter.api.Assertions.assertDoesNotThrow(this::names);
  }

  @Test
  void silenceCannotBeRetunedByMeasure() throws IOException {
    Path in = wav("silence.wav", Clip.of(RATE, new float[RATE]));
    Calls.refused(
        Status.Code.FAILED_PRECONDITION,
        () -> Calls.stream(stub::retune, retune(Calls.file(in), to(folder.resolve("o.wav")), null)),
        "config.cents");
    assertEquals(List.of("silence.wav"), names());
  }
}
