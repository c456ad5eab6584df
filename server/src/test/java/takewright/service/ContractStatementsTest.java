package takewright.service;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;

import com.google.protobuf.ByteString;
import io.grpc.ManagedChannel;
import io.grpc.Status;
import io.grpc.inprocess.InProcessChannelBuilder;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.AudioInput;
import takewright.v1.AudioOutput;
import takewright.v1.DenoiseConfig;
import takewright.v1.DenoiseRequest;
import takewright.v1.DenoiseResponse;
import takewright.v1.Flag;
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

/** What the comments of the contract say about files and streams, where no other test does. */
class ContractStatementsTest {
  private static final int RATE = 48_000;

  @TempDir Path folder;
  private TakewrightServer server;
  private ManagedChannel channel;
  private OperationsServiceStub stub;
  private Path note;

  @BeforeEach
  void start() throws IOException {
    folder = folder.toRealPath();
    note = folder.resolve("note.wav");
    WavWriter.write(note, Calls.note(RATE, 220), 24, WavChunks.NONE);
    server = TakewrightServer.startInProcess();
    channel = InProcessChannelBuilder.forName(server.address()).build();
    stub = OperationsServiceGrpc.newStub(channel);
  }

  @AfterEach
  void stop() throws IOException {
    channel.shutdownNow();
    server.close();
  }

  private List<RetuneResponse> retune(AudioOutput output) {
    return Calls.stream(
        stub::retune,
        RetuneRequest.newBuilder()
            .setConfig(
                RetuneConfig.newBuilder().setInput(Calls.file(note)).setOutput(output).setCents(10))
            .build());
  }

  private static AudioOutput to(Path file, boolean replace) {
    return AudioOutput.newBuilder().setFile(file.toString()).setReplace(replace).build();
  }

  @ParameterizedTest
  @ValueSource(strings = {"sound.flac", "sound.txt", "sound", "wav"})
  void onlyWavFilesAreWritten(String name) {
    Path file = folder.resolve(name);
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () -> retune(to(file, false)),
        "config.output.file",
        "give it a name that ends in .wav");
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () ->
            Calls.stream(
                stub::denoise,
                DenoiseRequest.newBuilder()
                    .setConfig(
                        DenoiseConfig.newBuilder()
                            .setInput(Calls.file(note))
                            .setOutput(to(folder.resolve("clean.WAV"), false))
                            .setRemoved(to(file, false)))
                    .build()),
        "config.removed.file");
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () ->
            Calls.stream(
                stub::segment,
                SegmentRequest.newBuilder()
                    .setConfig(
                        SegmentConfig.newBuilder()
                            .setInput(Calls.file(note))
                            .setMarkersFile(file.toString()))
                    .build()),
        "config.markers_file");
    assertFalse(Files.exists(file));
    assertFalse(Files.exists(folder.resolve("clean.WAV")));
  }

  @Test
  void onlyItsOwnUntouchedFilesAreReplaced() throws IOException {
    Path file = folder.resolve("tuned.wave");
    retune(to(file, false));
    retune(to(file, true));
    byte[] edited = Files.readAllBytes(file);
    edited[edited.length / 2] ^= 1;
    Files.write(file, edited);
    Calls.refused(Status.Code.ALREADY_EXISTS, () -> retune(to(file, true)));
    assertArrayEquals(edited, Files.readAllBytes(file));
    Calls.refused(
        Status.Code.INVALID_ARGUMENT, () -> retune(to(note, true)), "is the input, which");
  }

  @Test
  void aStreamWithoutAudioIsASilenceOfNoFrames() {
    AudioInput none = Calls.pcm(PcmEncoding.PCM_ENCODING_INT24, RATE, 2);
    AudioOutput back = AudioOutput.newBuilder().setPcm(PcmEncoding.PCM_ENCODING_INT24).build();
    List<AnalyseResponse> facts =
        Calls.stream(
            stub::analyse,
            AnalyseRequest.newBuilder()
                .setConfig(AnalyseConfig.newBuilder().setInput(none))
                .build());
    assertEquals(List.of(Flag.FLAG_SILENT), facts.get(0).getFacts().getFlagsList());
    List<SegmentResponse> regions =
        Calls.stream(
            stub::segment,
            SegmentRequest.newBuilder()
                .setConfig(SegmentConfig.newBuilder().setInput(none))
                .build());
    assertEquals(1, regions.size(), "the summary alone");
    List<DenoiseResponse> clean =
        Calls.stream(
            stub::denoise,
            DenoiseRequest.newBuilder()
                .setConfig(DenoiseConfig.newBuilder().setInput(none).setOutput(back))
                .build());
    assertEquals(0, clean.get(clean.size() - 1).getReport().getFrames());
    List<RetuneResponse> tuned =
        Calls.stream(
            stub::retune,
            RetuneRequest.newBuilder()
                .setConfig(RetuneConfig.newBuilder().setInput(none).setOutput(back).setCents(10))
                .build());
    assertEquals(0, tuned.get(tuned.size() - 1).getReport().getFrames());
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () ->
            Calls.stream(
                stub::layer,
                LayerRequest.newBuilder()
                    .setConfig(LayerConfig.newBuilder().setInput(none).setOutput(back))
                    .build()),
        "config.input",
        "holds no audio");
  }

  @Test
  void piecesEndAnywhereAndAnEmptyOneAddsNothing() {
    byte[] audio = Calls.floats(Calls.note(RATE, 220).channel(0));
    AudioInput input = Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1);
    List<AnalyseRequest> pieces = new ArrayList<>(List.of(Calls.analyse(input)));
    for (int at = 0; at < audio.length; at += 9_999) {
      pieces.add(Calls.audio(Arrays.copyOfRange(audio, at, Math.min(audio.length, at + 9_999))));
      pieces.add(Calls.audio(new byte[0]));
    }
    assertEquals(
        Calls.stream(stub::analyse, Calls.analyse(input), Calls.audio(audio)),
        Calls.stream(stub::analyse, pieces.toArray(new AnalyseRequest[0])));
  }

  @Test
  void aSilenceOfNoFramesHasNoPitchToBeTuned() {
    Calls.refused(
        Status.Code.FAILED_PRECONDITION,
        () ->
            Calls.stream(
                stub::retune,
                RetuneRequest.newBuilder()
                    .setConfig(
                        RetuneConfig.newBuilder()
                            .setInput(Calls.pcm(PcmEncoding.PCM_ENCODING_INT24, RATE, 2))
                            .setOutput(to(folder.resolve("tuned.wav"), false)))
                    .build()));
  }

  @ParameterizedTest
  @CsvSource({"PCM_ENCODING_FLOAT32, 2", "PCM_ENCODING_INT16, 0.999969482421875"})
  void whatIsBeyondFullScaleIsHeldAtItInIntegersAlone(PcmEncoding encoding, double wanted) {
    AudioInput input = Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1);
    List<RetuneResponse> answers =
        Calls.stream(
            stub::retune,
            RetuneRequest.newBuilder()
                .setConfig(
                    RetuneConfig.newBuilder()
                        .setInput(input)
                        .setOutput(AudioOutput.newBuilder().setPcm(encoding))
                        .setCents(0))
                .build(),
            RetuneRequest.newBuilder()
                .setAudio(ByteString.copyFrom(Calls.floats(2, 2, 2, 2)))
                .build());
    ByteBuffer audio =
        answers.get(1).getAudio().asReadOnlyByteBuffer().order(ByteOrder.LITTLE_ENDIAN);
    boolean isFloat = encoding == PcmEncoding.PCM_ENCODING_FLOAT32;
    assertEquals(wanted, isFloat ? audio.getFloat(0) : audio.getShort(0) / 32768.0, 1e-9);
  }

  @Test
  void aFolderForAResultIsNotMade() {
    Path file = folder.resolve("none/tuned.wav");
    Calls.refused(Status.Code.NOT_FOUND, () -> retune(to(file, false)), "make the folder first");
    assertFalse(Files.exists(file.getParent()));
  }

  /** Lipshitz, Wannamaker and Vanderkooy (1992): what is not dithered is distorted. */
  @ParameterizedTest
  @CsvSource({"16, PCM_ENCODING_INT16", "24, PCM_ENCODING_INT24", "32, PCM_ENCODING_INT32"})
  void aStreamOfIntegersHoldsTheSamplesOfAFile(int bits, PcmEncoding encoding) throws IOException {
    Path file = folder.resolve("tuned.wav");
    retune(to(file, false).toBuilder().setBitDepth(bits).build());
    ByteString streamed = ByteString.EMPTY;
    for (RetuneResponse answer : retune(AudioOutput.newBuilder().setPcm(encoding).build())) {
      streamed = streamed.concat(answer.getAudio());
    }
    assertEquals(ByteString.copyFrom(samples(file)), streamed);
  }

  /** What the chunk `data` of a WAV file holds. */
  private static ByteBuffer samples(Path file) throws IOException {
    ByteBuffer bytes = ByteBuffer.wrap(Files.readAllBytes(file)).order(ByteOrder.LITTLE_ENDIAN);
    int at = 12;
    while (bytes.getInt(at) != 0x61746164) {
      at += 8 + (bytes.getInt(at + 4) + 1) / 2 * 2;
    }
    return bytes.slice(at + 8, bytes.getInt(at + 4));
  }
}
