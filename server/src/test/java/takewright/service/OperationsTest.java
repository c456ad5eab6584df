package takewright.service;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.protobuf.ByteString;
import com.google.protobuf.Message;
import io.grpc.ManagedChannel;
import io.grpc.Status;
import io.grpc.inprocess.InProcessChannelBuilder;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Random;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.service.access.GrantedFolders;
import takewright.service.call.PcmInbox;
import takewright.service.call.Site;
import takewright.service.work.Priority;
import takewright.service.work.Workers;
import takewright.testing.Outside;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.AudioFormat;
import takewright.v1.AudioInput;
import takewright.v1.AudioOutput;
import takewright.v1.DenoiseConfig;
import takewright.v1.DenoiseReport;
import takewright.v1.DenoiseRequest;
import takewright.v1.DenoiseResponse;
import takewright.v1.Flag;
import takewright.v1.FrameRange;
import takewright.v1.Kind;
import takewright.v1.LayerConfig;
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
import takewright.v1.Temperament;

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
    refused("is missing in a message", AnalyseRequest.getDefaultInstance());
    refused("twice", pcm, some, pcm);
    refused("twice", pcm, pcm);
    refused(
        "config.input.file",
        Calls.analyse(takewright.v1.AudioInput.newBuilder().setFile("").build()));
    refused("`audio`", Calls.analyse(Calls.file(file)), some);
    refused("config.input", Calls.analyse(takewright.v1.AudioInput.getDefaultInstance()));
    refused("is missing in a message", pcm, some, AnalyseRequest.getDefaultInstance());
  }

  @Test
  void streamsThatAreNoAudioAreRefused() {
    AnalyseRequest pcm = Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 2));
    refused("inside a frame", pcm, Calls.audio(new byte[13]));
    refused("frame 1, channel 2", pcm, Calls.audio(Calls.floats(0, 0, 0, Float.NaN)));
    refused("frame 0, channel 1", pcm, Calls.audio(Calls.floats(Float.NEGATIVE_INFINITY, 0, 0, 0)));
    refused("sample_rate_hz", Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_INT16, 4000, 1)));
    refused("channels", Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_INT16, RATE, 33)));
    refused("encoding", Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_UNSPECIFIED, RATE, 1)));
  }

  @Test
  void aSampleBeyondTenMinutesIsRefusedBeforeItFillsTheMemory() {
    // 8000 Hz, one channel, 16 bits: 16000 bytes per second; ten messages of 61 s.
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
        "`config.tuning_hz` is 500, which is out of range; give a number from 392 to 466 Hz",
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
            config.toBuilder().setLeadInMs(-1).build(),
            config.toBuilder().setOnThresholdDb(Double.NaN).build(),
            config.toBuilder().setOnThresholdDb(5).setOffThresholdDb(6).build(),
            config.toBuilder().setMinGapMs(1e9).build(),
            config.toBuilder().setMinLengthMs(0).build(),
            config.toBuilder().setTuningHz(1).build())) {
      Calls.refused(
          Status.Code.INVALID_ARGUMENT,
          () -> Calls.stream(stub::segment, SegmentRequest.newBuilder().setConfig(bad).build()),
          "out of range; give a number from ");
    }
  }

  @Test
  void filesThatAreNoAudioAreRefusedByName() throws IOException {
    Path empty = Files.createFile(folder.resolve("empty.wav"));
    refused(empty.toString(), Calls.analyse(Calls.file(empty)));
    Path text = Files.writeString(folder.resolve("text.wav"), "dear diary, today we recorded\n");
    refused(text.toString(), Calls.analyse(Calls.file(text)));
    byte[] whole = Files.readAllBytes(wav("whole.wav", Calls.note(RATE, 220)));
    // The last 20 bytes are a chunk of Takewright's own, which readers may lack.
    for (int keep : new int[] {10, 30, 50, whole.length / 2, whole.length - 21}) {
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
    Workers workers = new Workers(1);
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
      // More than are let in at once.
      for (int i = 0; i <= Workers.max(Priority.SHORT, 1); i++) {
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
      }
      // All places are free again: another call gets its answer.
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

  /** A client that takes one answer at a time, when it is told to. */
  private static final class SlowClient
      implements io.grpc.stub.ClientResponseObserver<RetuneRequest, RetuneResponse> {
    private final java.util.concurrent.CompletableFuture<Integer> audioBytes =
        new java.util.concurrent.CompletableFuture<>();
    private final java.util.concurrent.atomic.AtomicInteger answers =
        new java.util.concurrent.atomic.AtomicInteger();
    private final boolean goOn;
    private io.grpc.stub.ClientCallStreamObserver<RetuneRequest> call;
    private int bytes;

    SlowClient(boolean goOn) {
      this.goOn = goOn;
    }

    @Override
    public void beforeStart(io.grpc.stub.ClientCallStreamObserver<RetuneRequest> started) {
      call = started;
      started.disableAutoRequestWithInitial(1);
    }

    @Override
    public void onNext(RetuneResponse answer) {
      answers.incrementAndGet();
      bytes += answer.getAudio().size();
      if (goOn) {
        call.request(1);
      }
    }

    @Override
    public void onError(Throwable failure) {
      audioBytes.completeExceptionally(failure);
    }

    @Override
    public void onCompleted() {
      audioBytes.complete(bytes);
    }
  }

  @Test
  void answersWaitForAClientThatTakesItsTime() throws Exception {
    Clip note = Calls.note(RATE, 220);
    RetuneRequest request =
        retune(
            Calls.file(wav("note.wav", note)),
            AudioOutput.newBuilder().setPcm(PcmEncoding.PCM_ENCODING_FLOAT32).build(),
            0.0);
    SlowClient oneByOne = new SlowClient(true);
    var call = stub.retune(oneByOne);
    call.onNext(request);
    call.onCompleted();
    assertEquals(
        4 * note.frames(), oneByOne.audioBytes.get(30, java.util.concurrent.TimeUnit.SECONDS));

    SlowClient stuck = new SlowClient(false);
    call = stub.retune(stuck);
    call.onNext(request);
    call.onCompleted();
    org.junit.jupiter.api.Assertions.assertThrows(
        java.util.concurrent.TimeoutException.class,
        () -> stuck.audioBytes.get(500, java.util.concurrent.TimeUnit.MILLISECONDS));
    assertTrue(stuck.answers.get() <= 1, "no more than it asked for");
    stuck.call.cancel("enough", null);
    org.junit.jupiter.api.Assertions.assertThrows(
        java.util.concurrent.ExecutionException.class,
        () -> stuck.audioBytes.get(30, java.util.concurrent.TimeUnit.SECONDS));
  }

  @Test
  void tooManyCallsAtOnceAreRefusedWithAHint() throws Exception {
    Workers workers = new Workers(1);
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
      for (int i = 0; i < Workers.max(Priority.SHORT, 1); i++) {
        workers.run(
            Priority.SHORT,
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

  private RetuneRequest retune(Path in, java.util.function.Consumer<RetuneConfig.Builder> more) {
    RetuneConfig.Builder config =
        RetuneConfig.newBuilder()
            .setInput(Calls.file(in))
            .setOutput(AudioOutput.newBuilder().setPcm(PcmEncoding.PCM_ENCODING_FLOAT32));
    more.accept(config);
    return RetuneRequest.newBuilder().setConfig(config).build();
  }

  private double moved(Path in, java.util.function.Consumer<RetuneConfig.Builder> more) {
    List<RetuneResponse> answers = Calls.stream(stub::retune, retune(in, more));
    return answers.get(answers.size() - 1).getReport().getMovedCents();
  }

  /** Offsets over A in quarter-comma meantone as in the Scala archive (meanquar.scl). */
  @Test
  void retunesToTheNotesOfATemperament() throws IOException {
    Path in = wav("c.wav", Calls.note(RATE, 220 * Math.pow(2, 300 / 1200.0)));
    double c = 300 - (1200 - 889.735);
    assertEquals(
        -c,
        moved(in, config -> config.setTemperament(Temperament.TEMPERAMENT_QUARTER_COMMA_MEANTONE)),
        1);
    // Rooted at D, C is a minor seventh above it: 1006.843, and A a fifth: 696.578.
    assertEquals(
        1006.843 - 696.578 - 300,
        moved(
            in,
            config ->
                config
                    .setTemperament(Temperament.TEMPERAMENT_QUARTER_COMMA_MEANTONE)
                    .setTemperamentRoot("D")),
        1);
    assertEquals(
        -30,
        moved(
            in,
            config ->
                config.addAllOffsetsCents(
                    List.of(-30.0, 0., 0., 0., 0., 0., 0., 0., 0., 0., 0., 0.))),
        1);
    for (var wrong :
        Map.<String, java.util.function.Consumer<RetuneConfig.Builder>>of(
                "not one that this version knows", config -> config.setTemperamentValue(99),
                "needs `config.temperament`", config -> config.setTemperamentRoot("D"),
                "a note without octave",
                    config ->
                        config.setTemperament(Temperament.TEMPERAMENT_JUST).setTemperamentRoot("H"),
                "is set together with",
                    config ->
                        config.setTemperament(Temperament.TEMPERAMENT_JUST).addOffsetsCents(1),
                "twelve", config -> config.addOffsetsCents(1),
                "leave out `config.cents`", config -> config.setCents(3).setSteadyPitch(true))
            .entrySet()) {
      Calls.refused(
          Status.Code.INVALID_ARGUMENT,
          () -> Calls.stream(stub::retune, retune(in, wrong.getValue())),
          wrong.getKey());
    }
  }

  @Test
  void makesADriftLevelWithinTheLimit() throws IOException {
    // Three seconds from 10 cents above A3 to 30.
    float[] x = new float[3 * RATE];
    double phase = 0;
    for (int i = 0; i < x.length; i++) {
      phase += 2 * Math.PI * 220 / RATE * Math.pow(2, (10 + 20.0 * i / x.length) / 1200);
      x[i] =
          (float) (0.2 * Math.sin(phase) + 0.1 * Math.sin(2 * phase) + 0.05 * Math.sin(3 * phase));
    }
    Path in = wav("drift.wav", Clip.of(RATE, x));
    List<RetuneResponse> answers =
        Calls.stream(stub::retune, retune(in, config -> config.setSteadyPitch(true)));
    var report = answers.get(answers.size() - 1).getReport();
    assertEquals(-20, report.getMovedCents(), 1);
    // The ends of the course lie a tenth of a second inside.
    assertEquals(20, report.getDriftCents(), 2);
    assertEquals(0, report.getFlagsCount());
    answers =
        Calls.stream(
            stub::retune, retune(in, config -> config.setSteadyPitch(true).setLimitCents(25)));
    report = answers.get(answers.size() - 1).getReport();
    assertEquals(List.of(Flag.FLAG_DRIFT_LIMIT), report.getFlagsList());
    assertTrue(report.getDriftCents() < 16, "some of it is left");
  }

  @Test
  void theFirstAnswerOfEveryCallSaysTheInputsFormat() throws IOException {
    Clip note = Calls.note(RATE, 220);
    AudioInput file = Calls.file(wav("note.wav", note));
    AudioOutput pcm = AudioOutput.newBuilder().setPcm(PcmEncoding.PCM_ENCODING_FLOAT32).build();
    List<Message> firsts =
        List.of(
            Calls.all(
                    stub::segment,
                    SegmentRequest.newBuilder()
                        .setConfig(SegmentConfig.newBuilder().setInput(file))
                        .build())
                .get(0),
            Calls.all(stub::analyse, Calls.analyse(file)).get(0),
            Calls.all(
                    stub::denoise,
                    DenoiseRequest.newBuilder().setConfig(denoise(file, pcm)).build())
                .get(0),
            Calls.all(stub::retune, retune(file, pcm, 10.0)).get(0),
            Calls.all(
                    stub::layer,
                    LayerRequest.newBuilder()
                        .setConfig(LayerConfig.newBuilder().setInput(file).setOutput(pcm))
                        .build())
                .get(0));
    for (Message first : firsts) {
      AudioFormat format = Calls.format(first);
      assertEquals(RATE, format.getSampleRateHz());
      assertEquals(1, format.getChannels());
      assertEquals(note.frames(), format.getFrames());
    }
    AudioFormat streamed =
        Calls.format(
            Calls.all(
                    stub::analyse,
                    Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1)),
                    Calls.audio(Calls.floats(note.channel(0))))
                .get(0));
    assertEquals(RATE, streamed.getSampleRateHz());
    assertFalse(streamed.hasFrames());
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
      PcmInbox inbox = new PcmInbox("config.input.pcm.", answers.get(0).getFormat(), () -> {});
      for (RetuneResponse answer : answers.subList(1, answers.size() - 1)) {
        inbox.put(answer.getAudio());
      }
      inbox.end();
      Clip back = Clip.read(inbox, note.frames() + 1);
      assertEquals(note.frames(), back.frames());
      // One and a half steps of 16 bits, its rounding and dither, and the dither of the input.
      assertArrayEquals(note.channel(0), back.channel(0), 1.51f / 32_768);
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
        "`config.cents` is ",
        "give a number from -1200 to 1200 cents");
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

  private static DenoiseConfig.Builder denoise(takewright.v1.AudioInput input, AudioOutput output) {
    return DenoiseConfig.newBuilder().setInput(input).setOutput(output);
  }

  private List<DenoiseResponse> denoise(DenoiseConfig.Builder config) {
    return Calls.stream(stub::denoise, DenoiseRequest.newBuilder().setConfig(config).build());
  }

  /** Invented: steady hiss at -50 dBFS, and a note in the middle second of three. */
  private static Clip noisyTake() {
    Random random = new Random(11);
    float[] samples = new float[3 * RATE];
    for (int i = 0; i < samples.length; i++) {
      double value = Math.pow(10, -50 / 20.0) * random.nextGaussian();
      if (i >= RATE && i < 2 * RATE) {
        double t = (double) (i - RATE) / RATE;
        for (int partial = 1; partial <= 100; partial++) {
          value +=
              0.1 / partial * Math.sin(2 * Math.PI * 110 * partial * t) * Math.sin(Math.PI * t);
        }
      }
      samples[i] = (float) value;
    }
    return Clip.of(RATE, samples);
  }

  private static float[] read(Path file) throws IOException {
    try (AudioFile audio = AudioFile.open(file)) {
      return Clip.read(audio, (int) audio.frames()).channel(0);
    }
  }

  @Test
  void denoiseWritesTheResultAndWhatItTookAway() throws IOException {
    Path in = wav("in.wav", noisyTake());
    Path out = folder.resolve("out.wav");
    Path rest = folder.resolve("rest.wav");
    List<DenoiseResponse> answers =
        denoise(denoise(Calls.file(in), to(out)).setRemoved(to(rest)).setAmountDb(18));
    assertEquals(1, answers.size());
    DenoiseReport report = answers.get(0).getReport();
    assertEquals(3L * RATE, report.getFrames());
    assertEquals(-50, report.getFloorBeforeDbfs(), 1.5);
    assertEquals(-68, report.getFloorAfterDbfs(), 3);
    float[] input = read(in);
    float[] result = read(out);
    float[] removed = read(rest);
    float[] sum = new float[result.length];
    for (int i = 0; i < sum.length; i++) {
      sum[i] = result[i] + removed[i];
    }
    // Two files of 24 bits, each off by at most 1.5 steps with its dither.
    assertArrayEquals(input, sum, 3.1f / (1 << 23));

    // The same as a stream, both ways.
    List<DenoiseRequest> requests = new ArrayList<>();
    requests.add(
        DenoiseRequest.newBuilder()
            .setConfig(
                denoise(
                        Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1),
                        AudioOutput.newBuilder().setPcm(PcmEncoding.PCM_ENCODING_FLOAT32).build())
                    .setAmountDb(18))
            .build());
    for (ByteString piece : pieces(Calls.floats(input), new Random(5))) {
      requests.add(DenoiseRequest.newBuilder().setAudio(piece).build());
    }
    List<DenoiseResponse> streamed =
        Calls.stream(stub::denoise, requests.toArray(DenoiseRequest[]::new));
    PcmInbox inbox = new PcmInbox("config.input.pcm.", streamed.get(0).getFormat(), () -> {});
    for (DenoiseResponse answer : streamed.subList(1, streamed.size() - 1)) {
      inbox.put(answer.getAudio());
    }
    inbox.end();
    assertEquals(report, streamed.get(streamed.size() - 1).getReport());
    assertArrayEquals(result, Clip.read(inbox, 4 * RATE).channel(0), 1.6f / (1 << 23));
  }

  @Test
  void denoiseLearnsFromTheStretchesItIsGiven() throws IOException {
    Path in = wav("in.wav", noisyTake());
    DenoiseConfig.Builder config =
        denoise(Calls.file(in), to(folder.resolve("out.wav")))
            .addRoomTone(FrameRange.newBuilder().setStartFrame(0).setEndFrame(RATE));
    assertEquals(-50, denoise(config).get(0).getReport().getFloorBeforeDbfs(), 0.5);
    for (long[] bad : new long[][] {{-1, 10}, {10, 10}, {0, 3L * RATE + 1}}) {
      DenoiseConfig.Builder wrong =
          denoise(Calls.file(in), to(folder.resolve("never.wav")))
              .addRoomTone(FrameRange.newBuilder().setStartFrame(bad[0]).setEndFrame(bad[1]));
      Calls.refused(Status.Code.INVALID_ARGUMENT, () -> denoise(wrong), "config.room_tone[0]");
    }
    assertEquals(List.of("in.wav", "out.wav"), names());
  }

  @Test
  void denoiseRefusesTargetsThatCannotBe() throws IOException {
    Path in = wav("in.wav", noisyTake());
    AudioOutput out = to(folder.resolve("out.wav"));
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () -> denoise(denoise(Calls.file(in), out).setRemoved(out)),
        "the same file");
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () ->
            denoise(
                denoise(Calls.file(in), out)
                    .setRemoved(to(in).toBuilder().setReplace(true).build())),
        "the input");
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () ->
            denoise(
                denoise(Calls.file(in), out)
                    .setRemoved(AudioOutput.newBuilder().setPcm(PcmEncoding.PCM_ENCODING_INT16))),
        "config.removed");
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () -> denoise(denoise(Calls.file(in), out).setAmountDb(61)),
        "`config.amount_db` is 61",
        "give a number from 0 to 60 dB");
    assertEquals(List.of("in.wav"), names());
  }

  @Test
  void aFullDiskLeavesNothingBehind() throws Exception {
    Outside.tool("mount");
    Path small = Files.createDirectory(folder.resolve("small"));
    // 256 KiB, and the result needs 400 KiB.
    Process mount =
        new ProcessBuilder("mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", small.toString())
            .redirectErrorStream(true)
            .start();
    if (mount.waitFor() != 0) {
      throw Outside.forbidden("mounting a file system");
    }
    try {
      Path in = wav("in.wav", noisyTake());
      Calls.refused(
          Status.Code.RESOURCE_EXHAUSTED,
          () -> denoise(denoise(Calls.file(in), to(small.resolve("out.wav")))),
          small.resolve("out.wav") + ": the disk is full");
      try (var files = Files.list(small)) {
        assertEquals(0, files.count());
      }
    } finally {
      new ProcessBuilder("umount", small.toString()).start().waitFor();
    }
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
