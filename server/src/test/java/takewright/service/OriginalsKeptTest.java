package takewright.service;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.protobuf.Descriptors.Descriptor;
import com.google.protobuf.Descriptors.FieldDescriptor;
import com.google.protobuf.Descriptors.FileDescriptor;
import io.grpc.ManagedChannel;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.inprocess.InProcessChannelBuilder;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import java.util.function.Consumer;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.testing.Foreign;
import takewright.v1.*;

/**
 * No call writes over what Takewright did not write: every field that names an output is given a
 * take, a sheet, some other file, and a link to a take.
 */
class OriginalsKeptTest {
  @TempDir static Path folder;
  private static TakewrightServer server;
  private static ManagedChannel channel;
  private static Path note;
  private static Path samples;

  /** Each field that names an output, and a call that sets it, replacing what may be replaced. */
  private static final Map<String, Consumer<Path>> CALLS = new LinkedHashMap<>();

  @BeforeAll
  static void start() throws IOException {
    folder = folder.toRealPath();
    server = TakewrightServer.startInProcess();
    channel = InProcessChannelBuilder.forName(server.address()).build();
    samples = Files.createDirectory(folder.resolve("samples"));
    note = folder.resolve("note.wav");
    WavWriter.write(note, Calls.note(48_000, 220), 24, WavChunks.NONE);
    Files.copy(note, samples.resolve("a_C4.wav"));
    var operations = OperationsServiceGrpc.newStub(channel);
    var library = LibraryServiceGrpc.newBlockingStub(channel);
    CALLS.put(
        "SegmentConfig.markers_file",
        out ->
            Calls.stream(
                operations::segment,
                SegmentRequest.newBuilder()
                    .setConfig(
                        SegmentConfig.newBuilder()
                            .setInput(Calls.file(note))
                            .setMarkersFile(out.toString())
                            .setReplaceMarkersFile(true))
                    .build()));
    CALLS.put(
        "DenoiseConfig.output",
        out ->
            Calls.stream(
                operations::denoise,
                DenoiseRequest.newBuilder()
                    .setConfig(
                        DenoiseConfig.newBuilder()
                            .setInput(Calls.file(note))
                            .setOutput(replacing(out)))
                    .build()));
    CALLS.put(
        "DenoiseConfig.removed",
        out ->
            Calls.stream(
                operations::denoise,
                DenoiseRequest.newBuilder()
                    .setConfig(
                        DenoiseConfig.newBuilder()
                            .setInput(Calls.file(note))
                            .setOutput(replacing(folder.resolve("clean.wav")))
                            .setRemoved(replacing(out)))
                    .build()));
    CALLS.put(
        "RetuneConfig.output",
        out ->
            Calls.stream(
                operations::retune,
                RetuneRequest.newBuilder()
                    .setConfig(
                        RetuneConfig.newBuilder()
                            .setInput(Calls.file(note))
                            .setOutput(replacing(out)))
                    .build()));
    CALLS.put(
        "LayerConfig.output",
        out ->
            Calls.stream(
                operations::layer,
                LayerRequest.newBuilder()
                    .setConfig(
                        LayerConfig.newBuilder()
                            .setInput(Calls.file(note))
                            .setOutput(replacing(out)))
                    .build()));
    CALLS.put(
        "AuditRequest.rename_plan_file",
        out ->
            library
                .audit(
                    AuditRequest.newBuilder()
                        .setFolder(samples.toString())
                        .setRenamePlanFile(out.toString())
                        .build())
                .forEachRemaining(answer -> {}));
    CALLS.put(
        "RenameSamplesRequest.undo_file",
        out ->
            library.renameSamples(
                RenameSamplesRequest.newBuilder()
                    .setFolder(samples.toString())
                    .setPlanFile(plan().toString())
                    .setUndoFile(out.toString())
                    .build()));
    CALLS.put(
        "RenderRequest.output_file",
        out ->
            library.render(
                RenderRequest.newBuilder()
                    .setFolder(samples.toString())
                    .setOutputFile(out.toString())
                    .setReplace(true)
                    .build()));
  }

  private static Path plan() {
    try {
      return Files.writeString(
          folder.resolve("plan.csv"),
          "from,to,via\na_C4.wav,a_D4.wav,.takewright-rename-0-a_C4.wav\n");
    } catch (IOException e) {
      throw new AssertionError(e);
    }
  }

  private static AudioOutput replacing(Path file) {
    return AudioOutput.newBuilder().setFile(file.toString()).setReplace(true).build();
  }

  @AfterAll
  static void stop() throws IOException {
    channel.shutdownNow();
    server.close();
  }

  /** What a text in a request is, if it is not a file that is written. */
  private static final Set<String> READ_OR_NO_FILE =
      Set.of(
          "RetuneConfig.temperament_root",
          "LayerConfig.impulse_file",
          "LayerConfig.chain_text",
          "CheckSheetRequest.sheet_file",
          "StartBuildRequest.sheet_file",
          "StartBuildRequest.decisions_file", // where the page saves: LivePageTest
          "StartBuildRequest.only",
          "GetBuildRequest.build_id",
          "ListBuildsRequest.page_token",
          "ResumeBuildRequest.build_id",
          "WatchBuildRequest.build_id",
          "OpenBuildPageRequest.build_id",
          "CancelBuildRequest.build_id",
          "AuditRequest.folder",
          "RenameSamplesRequest.folder",
          "RenameSamplesRequest.plan_file",
          "RenderRequest.folder",
          "RenderRequest.midi_file",
          "RenderRequest.notes",
          "RenderRequest.articulation",
          "RenderRequest.layer",
          "OpenBoardRequest.session_id",
          "EndSessionRequest.session_id",
          "FollowSessionConfig.sheet_file",
          "FollowSessionConfig.sheet_text",
          "FollowSessionConfig.take",
          "FollowSessionConfig.session_id",
          "ParseNameRequest.name");

  /** Folders, tried file by file where commands are: OutputsOfCommandsTest. */
  private static final Set<String> FOLDERS =
      Set.of("StartBuildRequest.output_folder", "StartBuildRequest.markers_folder");

  /** A new field has to be tried here, too, or be said to be no output. */
  @Test
  void everyFieldThatNamesAnOutputIsTried() {
    Set<String> fields = new TreeSet<>();
    for (FileDescriptor file :
        List.of(
            DenoiseConfig.getDescriptor().getFile(),
            AuditRequest.getDescriptor().getFile(),
            FollowSessionRequest.getDescriptor().getFile(),
            FormatNameRequest.getDescriptor().getFile(),
            GetServerInfoRequest.getDescriptor().getFile())) {
      for (Descriptor message : file.getMessageTypes()) {
        boolean asked =
            message.getName().endsWith("Request") || message.getName().endsWith("Config");
        for (FieldDescriptor field : message.getFields()) {
          if (asked && mayNameOutput(field)) {
            fields.add(message.getName() + "." + field.getName());
          }
        }
      }
    }
    Set<String> known = new TreeSet<>(CALLS.keySet());
    known.addAll(FOLDERS);
    known.addAll(READ_OR_NO_FILE);
    assertEquals(known, fields);
  }

  private static boolean mayNameOutput(FieldDescriptor field) {
    return field.getJavaType() == FieldDescriptor.JavaType.STRING
        || field.getJavaType() == FieldDescriptor.JavaType.MESSAGE
            && field.getMessageType().equals(AudioOutput.getDescriptor());
  }

  static Stream<String> fields() {
    return Stream.of(
        "SegmentConfig.markers_file",
        "DenoiseConfig.output",
        "DenoiseConfig.removed",
        "RetuneConfig.output",
        "LayerConfig.output",
        "AuditRequest.rename_plan_file",
        "RenameSamplesRequest.undo_file",
        "RenderRequest.output_file");
  }

  @ParameterizedTest
  @MethodSource("fields")
  void itIsNeverWrittenOver(String field) throws IOException {
    Path take = folder.resolve("take.wav");
    Files.deleteIfExists(take);
    Foreign.wav(take, Calls.note(48_000, 330));
    Path sheet = Files.writeString(folder.resolve("sheet.yaml"), "library: Wickmere\n");
    Path other = Files.writeString(folder.resolve("letter.txt"), "dear player\n");
    Path link = folder.resolve("link.wav");
    Files.deleteIfExists(link);
    Files.createSymbolicLink(link, take);
    for (Path original : List.of(take, sheet, other, link)) {
      byte[] before = Files.readAllBytes(original);
      StatusRuntimeException refused =
          assertThrows(
              StatusRuntimeException.class,
              () -> CALLS.get(field).accept(original),
              original.toString());
      assertEquals(Status.Code.ALREADY_EXISTS, refused.getStatus().getCode(), refused.getMessage());
      assertTrue(refused.getMessage().contains("name"), refused.getMessage());
      assertArrayEquals(before, Files.readAllBytes(original), original.toString());
    }
    assertTrue(Files.isSymbolicLink(link));
    assertTrue(Files.exists(samples.resolve("a_C4.wav")), "nothing was renamed");
  }
}
