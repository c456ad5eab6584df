package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import com.google.rpc.ErrorInfo;
import io.grpc.ManagedChannel;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.inprocess.InProcessChannelBuilder;
import io.grpc.protobuf.StatusProto;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.function.Executable;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AudioOutput;
import takewright.v1.AuditRequest;
import takewright.v1.DenoiseConfig;
import takewright.v1.DenoiseRequest;
import takewright.v1.EffectDelay;
import takewright.v1.FormatNameRequest;
import takewright.v1.FrameRange;
import takewright.v1.LayerConfig;
import takewright.v1.LayerEffect;
import takewright.v1.LayerRequest;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.NameFacts;
import takewright.v1.NamingServiceGrpc;
import takewright.v1.NamingStyle;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.PcmEncoding;
import takewright.v1.RenameSamplesRequest;
import takewright.v1.RenderRequest;
import takewright.v1.RetuneConfig;
import takewright.v1.RetuneRequest;
import takewright.v1.SegmentConfig;
import takewright.v1.SegmentRequest;
import takewright.v1.StartBuildRequest;
import takewright.v1.WatchBuildRequest;

/** Each error names the field of the request that is at fault, and how to put it right. */
class FieldsOfErrorsTest {
  private static final int RATE = 48_000;

  @TempDir Path folder;
  private TakewrightServer server;
  private ManagedChannel channel;
  private OperationsServiceGrpc.OperationsServiceStub operations;
  private LibraryServiceGrpc.LibraryServiceBlockingStub libraries;
  private Path note;
  private Path text;

  @BeforeEach
  void start() throws IOException {
    folder = folder.toRealPath();
    note = folder.resolve("note.wav");
    WavWriter.write(note, Calls.note(RATE, 220), 24, WavChunks.NONE);
    text = Files.writeString(folder.resolve("text.wav"), "no audio, no notes and no plan");
    server = TakewrightServer.startInProcess();
    channel = InProcessChannelBuilder.forName(server.address()).build();
    operations = OperationsServiceGrpc.newStub(channel);
    libraries = LibraryServiceGrpc.newBlockingStub(channel);
  }

  @AfterEach
  void stop() throws IOException {
    channel.shutdownNow();
    server.close();
  }

  private static void refused(String field, String remedy, Executable call) throws IOException {
    refused(Status.Code.INVALID_ARGUMENT, field, remedy, call);
  }

  private static void refused(Status.Code code, String field, String remedy, Executable call)
      throws IOException {
    StatusRuntimeException refused = assertThrows(StatusRuntimeException.class, call);
    assertEquals(code, refused.getStatus().getCode(), refused.getMessage());
    ErrorInfo info = StatusProto.fromThrowable(refused).getDetails(0).unpack(ErrorInfo.class);
    assertEquals(field, info.getMetadataOrDefault("field", ""), refused.getMessage());
    assertEquals(remedy, info.getMetadataOrThrow("remedy"), refused.getMessage());
  }

  private static AudioOutput streamed() {
    return AudioOutput.newBuilder().setPcm(PcmEncoding.PCM_ENCODING_INT24).build();
  }

  private void layer(LayerConfig.Builder config) {
    config.setInput(Calls.file(note)).setOutput(streamed());
    Calls.stream(operations::layer, LayerRequest.newBuilder().setConfig(config).build());
  }

  private void retune(RetuneConfig.Builder config) {
    config.setInput(Calls.file(note)).setOutput(streamed());
    Calls.stream(operations::retune, RetuneRequest.newBuilder().setConfig(config).build());
  }

  @Test
  void aFieldOfTheRequestItselfHasNoPath() throws IOException {
    AuditRequest audit =
        AuditRequest.newBuilder().setFolder(folder.toString()).setTuningHz(100).build();
    refused(
        "tuning_hz", "give a number from 392 to 466 Hz", () -> libraries.audit(audit).hasNext());
  }

  @Test
  void aFileThatIsNotWhatItShouldBeIsNamedByItsField() throws IOException {
    refused(
        "config.impulse_file",
        "export it as one of these",
        () -> layer(LayerConfig.newBuilder().setImpulseFile(text.toString())));
    RenameSamplesRequest rename =
        RenameSamplesRequest.newBuilder()
            .setFolder(Files.createDirectory(folder.resolve("samples")).toString())
            .setPlanFile(text.toString())
            .setUndoFile(folder.resolve("undo.csv").toString())
            .build();
    refused(
        "plan_file",
        "write a table with the columns from,to,via",
        () -> libraries.renameSamples(rename));
    RenderRequest render =
        RenderRequest.newBuilder()
            .setFolder(folder.toString())
            .setNotes("C4")
            .setOutputFile(folder.resolve("played.wav").toString())
            .build();
    refused(
        Status.Code.NOT_FOUND, "folder", "build the library again", () -> libraries.render(render));
  }

  @Test
  void decisionsThatCannotBeReadAreNamedByTheirField() throws IOException {
    Path sheet =
        Files.writeString(
            folder.resolve("sheet.yaml"),
            "library: Larkfell\ntakes:\n  - {file: note.wav, articulation: held, notes: A3}\n");
    Path decisions = Files.writeString(folder.resolve("mine.yaml"), "note.wav: [{ta: 1}]\n");
    String id =
        libraries
            .startBuild(
                StartBuildRequest.newBuilder()
                    .setSheetFile(sheet.toString())
                    .setOutputFolder(folder.resolve("out").toString())
                    .setDecisionsFile(decisions.toString())
                    .build())
            .getBuild()
            .getBuildId();
    StatusRuntimeException failed =
        assertThrows(
            StatusRuntimeException.class,
            () ->
                libraries
                    .watchBuild(WatchBuildRequest.newBuilder().setBuildId(id).build())
                    .forEachRemaining(progress -> {}));
    ErrorInfo info = StatusProto.fromThrowable(failed).getDetails(0).unpack(ErrorInfo.class);
    assertEquals("decisions_file", info.getMetadataOrDefault("field", ""), failed.getMessage());
    assertEquals("mine.yaml", info.getMetadataOrDefault("file", ""), failed.getMessage());
  }

  @Test
  void roomToneThatIsTooShortIsNamedOnce() throws IOException {
    DenoiseConfig.Builder config =
        DenoiseConfig.newBuilder()
            .setInput(Calls.file(note))
            .setOutput(streamed())
            .addRoomTone(FrameRange.newBuilder().setStartFrame(0).setEndFrame(10));
    refused(
        "config.room_tone",
        "name at least one of 20 ms or longer",
        () ->
            Calls.stream(
                operations::denoise, DenoiseRequest.newBuilder().setConfig(config).build()));
  }

  @Test
  void aNameThatNeedsANoteAsksForIt() throws IOException {
    FormatNameRequest request =
        FormatNameRequest.newBuilder()
            .setStyle(NamingStyle.newBuilder().setPattern("{note}"))
            .setFacts(NameFacts.newBuilder().setLibrary("Larkfell"))
            .build();
    refused(
        "facts.midi",
        "set it",
        () -> NamingServiceGrpc.newBlockingStub(channel).formatName(request));
  }

  @Test
  void theTakeIsNoPlaceForItsMarkers() throws IOException {
    for (boolean replace : new boolean[] {false, true}) {
      SegmentConfig config =
          SegmentConfig.newBuilder()
              .setInput(Calls.file(note))
              .setMarkersFile(note.toString())
              .setReplaceMarkersFile(replace)
              .build();
      refused(
          "config.markers_file",
          "name another file",
          () ->
              Calls.stream(
                  operations::segment, SegmentRequest.newBuilder().setConfig(config).build()));
    }
  }

  @Test
  void aFileThatIsThereSaysWhichFieldReplacesIt() throws IOException {
    SegmentConfig markers =
        SegmentConfig.newBuilder()
            .setInput(Calls.file(note))
            .setMarkersFile(text.toString())
            .build();
    refused(
        Status.Code.ALREADY_EXISTS,
        "config.markers_file",
        "choose another name, or set `replace_markers_file`",
        () ->
            Calls.stream(
                operations::segment, SegmentRequest.newBuilder().setConfig(markers).build()));
    AudioOutput output = AudioOutput.newBuilder().setFile(text.toString()).build();
    refused(
        Status.Code.ALREADY_EXISTS,
        "config.output.file",
        "choose another name, or set `replace`",
        () ->
            Calls.stream(
                operations::layer,
                LayerRequest.newBuilder()
                    .setConfig(
                        LayerConfig.newBuilder().setInput(Calls.file(note)).setOutput(output))
                    .build()));
  }

  @Test
  void unknownValuesOfEnumsAreAnsweredWithTheKnownOnes() throws IOException {
    String encodings =
        "set PCM_ENCODING_INT16, PCM_ENCODING_INT24, PCM_ENCODING_INT32 or PCM_ENCODING_FLOAT32";
    for (int encoding : new int[] {0, 9}) {
      LayerConfig.Builder config =
          LayerConfig.newBuilder()
              .setInput(Calls.file(note))
              .setOutput(AudioOutput.newBuilder().setPcmValue(encoding));
      refused(
          "config.output.pcm",
          encodings,
          () ->
              Calls.stream(operations::layer, LayerRequest.newBuilder().setConfig(config).build()));
    }
    AnalyseConfig.Builder sample = AnalyseConfig.newBuilder().setInput(Calls.file(note));
    AnalyseRequest kind =
        AnalyseRequest.newBuilder().setConfig(sample.clone().setKindValue(9)).build();
    refused(
        "config.kind",
        "set KIND_PITCHED, KIND_UNPITCHED, KIND_PHRASE, KIND_GLIDE or KIND_CLUSTER",
        () -> Calls.stream(operations::analyse, kind));
    AnalyseRequest detail =
        AnalyseRequest.newBuilder().setConfig(sample.clone().setDetailValue(9)).build();
    refused(
        "config.detail",
        "set DETAIL_ESSENTIAL, DETAIL_CHARACTER or DETAIL_FULL",
        () -> Calls.stream(operations::analyse, detail));
    refused(
        "style.accidentals",
        "set ACCIDENTALS_SHARP or ACCIDENTALS_FLAT",
        () ->
            NamingServiceGrpc.newBlockingStub(channel)
                .formatName(
                    FormatNameRequest.newBuilder()
                        .setStyle(NamingStyle.newBuilder().setAccidentalsValue(9))
                        .build()));
  }

  /** Fields that have no effect here, with values that they may never have. */
  @Test
  void valuesAreCheckedWhetherTheyHaveAnEffectOrNot() throws IOException {
    refused(
        "config.tuning_hz",
        "give a number from 392 to 466 Hz",
        () -> retune(RetuneConfig.newBuilder().setCents(5).setTuningHz(5000)));
    refused(
        "config.limit_cents",
        "give a number from 0 to 1200 cents",
        () -> retune(RetuneConfig.newBuilder().setCents(5).setLimitCents(-1)));
    refused(
        "config.tempo_bpm",
        "give a number from 10 to 400 beats per minute",
        () -> layer(LayerConfig.newBuilder().setTempoBpm(500)));
    EffectDelay delay = EffectDelay.newBuilder().setTimeMs(100).setTempoBpm(500).build();
    refused(
        "config.chain[0].delay.tempo_bpm",
        "give a number from 10 to 400 beats per minute",
        () -> layer(LayerConfig.newBuilder().addChain(LayerEffect.newBuilder().setDelay(delay))));
    refused(
        "config.output.bit_depth",
        "give 16, 24 or 32",
        () ->
            Calls.stream(
                operations::layer,
                LayerRequest.newBuilder()
                    .setConfig(
                        LayerConfig.newBuilder()
                            .setInput(Calls.file(note))
                            .setOutput(streamed().toBuilder().setBitDepth(20)))
                    .build()));
  }
}
