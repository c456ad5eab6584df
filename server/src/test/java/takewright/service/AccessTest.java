package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.Channel;
import io.grpc.ManagedChannel;
import io.grpc.Metadata;
import io.grpc.Status;
import io.grpc.health.v1.HealthCheckRequest;
import io.grpc.health.v1.HealthCheckResponse.ServingStatus;
import io.grpc.health.v1.HealthGrpc;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.reflection.v1.ServerReflectionGrpc;
import io.grpc.reflection.v1.ServerReflectionRequest;
import io.grpc.reflection.v1.ServerReflectionResponse;
import io.grpc.reflection.v1.ServiceResponse;
import io.grpc.stub.MetadataUtils;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermissions;
import java.util.List;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.diagnosis.FileProblemException;
import takewright.service.access.Limits;
import takewright.v1.AnalyseResponse;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.ListBuildsRequest;
import takewright.v1.OperationsServiceGrpc;

/** A server on the loopback interface, as other programs meet it. */
class AccessTest {
  @TempDir Path folder;
  private TakewrightServer server;
  private ManagedChannel channel;

  @BeforeEach
  void start() throws IOException {
    folder = folder.toRealPath();
    Files.createDirectory(folder.resolve("granted"));
    server =
        TakewrightServer.start(
            new ServerSettings(
                ServerSettings.DEFAULT_HOST,
                0,
                List.of(folder.resolve("granted")),
                folder.resolve("secret/token")));
    channel = NettyChannelBuilder.forTarget(server.address()).usePlaintext().build();
  }

  @AfterEach
  void stop() throws IOException {
    channel.shutdownNow();
    server.close();
  }

  private static Channel with(Channel channel, String authorization) {
    Metadata headers = new Metadata();
    headers.put(Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER), authorization);
    return io.grpc.ClientInterceptors.intercept(
        channel, MetadataUtils.newAttachHeadersInterceptor(headers));
  }

  private String token() throws IOException {
    return Files.readString(server.tokenFile()).strip();
  }

  private static void list(Channel channel) {
    LibraryServiceGrpc.newBlockingStub(channel).listBuilds(ListBuildsRequest.getDefaultInstance());
  }

  @Test
  void theTokenIsLongAndForItsUserAlone() throws IOException {
    assertEquals(64, token().length(), "256 bits as hexadecimal digits");
    assertEquals(
        "rw-------",
        PosixFilePermissions.toString(Files.getPosixFilePermissions(server.tokenFile())));
    assertEquals(
        "rwx------",
        PosixFilePermissions.toString(
            Files.getPosixFilePermissions(server.tokenFile().getParent())));
    try (var files = Files.list(server.tokenFile().getParent())) {
      assertEquals(1, files.count(), "nothing but the token stays");
    }
  }

  @Test
  void aTokenFileThatOthersCouldReadIsReplacedAndNotWrittenInto() throws IOException {
    Path old = folder.resolve("old");
    Files.writeString(old, "0123456789abcdef".repeat(4) + "\n");
    Files.setPosixFilePermissions(old, PosixFilePermissions.fromString("rw-rw-rw-"));
    try (TakewrightServer other =
        TakewrightServer.start(
            new ServerSettings(ServerSettings.DEFAULT_HOST, 0, List.of(), old))) {
      assertEquals("rw-------", PosixFilePermissions.toString(Files.getPosixFilePermissions(old)));
      assertNotEquals(token(), Files.readString(other.tokenFile()).strip());
    }
    assertFalse(Files.exists(old), "the token goes with its server");
  }

  @Test
  void aFileThatIsNoTokenIsNeitherReplacedNorRemoved() throws IOException {
    Path take = Files.writeString(folder.resolve("take.wav"), "RIFF and so on");
    refusesTokenFile(take, take + ", which exists and is no token;");
    assertEquals("RIFF and so on", Files.readString(take));
    Path below = take.resolve("token");
    refusesTokenFile(below, below + ", but " + take + " is not a folder;");
    refusesTokenFile(folder, folder + ", which exists and is a folder;");
  }

  private static void refusesTokenFile(Path file, String why) {
    FileProblemException refused =
        assertThrows(
            FileProblemException.class,
            () ->
                TakewrightServer.start(
                    new ServerSettings(ServerSettings.DEFAULT_HOST, 0, List.of(), file)));
    assertEquals("`token_file` names " + why + " name another file", refused.getMessage());
  }

  @Test
  void callsNeedTheToken() throws IOException {
    String path = server.tokenFile().toString();
    Calls.refused(Status.Code.UNAUTHENTICATED, () -> list(channel), "no token", path);
    String right = "Bearer " + token();
    String shorter = right.substring(0, right.length() - 1);
    for (String wrong :
        List.of("Bearer ", shorter, right + "0", token(), "Basic " + token(), "Bearer é")) {
      Calls.refused(
          Status.Code.UNAUTHENTICATED, () -> list(with(channel, wrong)), "not that", path);
    }
    list(with(channel, "Bearer " + token()));
    list(with(channel, "bearer " + token()));
  }

  @Test
  void aRefusalDoesNotTellTheToken() throws IOException {
    String line =
        assertThrows(io.grpc.StatusRuntimeException.class, () -> list(channel)).getMessage();
    assertFalse(line.contains(token()));
  }

  @Test
  void healthAnswersWithoutATokenForEachService() {
    HealthGrpc.HealthBlockingStub health = HealthGrpc.newBlockingStub(channel);
    for (String name :
        List.of(
            "",
            "takewright.v1.OperationsService",
            "takewright.v1.LibraryService",
            "takewright.v1.NamingService",
            "takewright.v1.SessionService")) {
      assertEquals(
          ServingStatus.SERVING,
          health.check(HealthCheckRequest.newBuilder().setService(name).build()).getStatus());
    }
  }

  @Test
  void reflectionAnswersWithoutATokenAndListsTheContract() {
    List<ServerReflectionResponse> answers =
        Calls.all(
            ServerReflectionGrpc.newStub(channel)::serverReflectionInfo,
            ServerReflectionRequest.newBuilder().setListServices("").build());
    List<String> names =
        answers.get(0).getListServicesResponse().getServiceList().stream()
            .map(ServiceResponse::getName)
            .toList();
    assertTrue(names.contains("takewright.v1.OperationsService"), names.toString());
    assertTrue(names.contains("takewright.v1.LibraryService"), names.toString());
    assertTrue(names.contains("takewright.v1.SessionService"), names.toString());
  }

  /** Many tools ask by the older version. */
  @Test
  @SuppressWarnings("deprecation")
  void reflectionAnswersByItsOlderVersionToo() {
    List<io.grpc.reflection.v1alpha.ServerReflectionResponse> answers =
        Calls.all(
            io.grpc.reflection.v1alpha.ServerReflectionGrpc.newStub(channel)::serverReflectionInfo,
            io.grpc.reflection.v1alpha.ServerReflectionRequest.newBuilder()
                .setFileContainingSymbol("takewright.v1.LibraryService")
                .build());
    assertTrue(answers.get(0).getFileDescriptorResponse().getFileDescriptorProtoCount() > 0);
  }

  @Test
  void filesAreReadInsideTheGrantedFoldersOnly() throws IOException {
    Path inside = folder.resolve("granted/note.wav");
    Path outside = folder.resolve("note.wav");
    for (Path file : List.of(inside, outside)) {
      WavWriter.write(file, Calls.note(44_100, 440), 24, WavChunks.NONE);
    }
    Path link = Files.createSymbolicLink(folder.resolve("granted/link.wav"), outside);
    var stub = OperationsServiceGrpc.newStub(with(channel, "Bearer " + token()));
    List<AnalyseResponse> answers = Calls.stream(stub::analyse, Calls.analyse(Calls.file(inside)));
    assertEquals(69, answers.get(0).getFacts().getPitch().getMidi());
    for (Path refused :
        List.of(outside, link, folder.resolve("granted/../note.wav"), folder.resolve("no.wav"))) {
      Calls.refused(
          Status.Code.PERMISSION_DENIED,
          () -> Calls.stream(stub::analyse, Calls.analyse(Calls.file(refused))),
          "config.input.file",
          "--allow");
    }
  }

  @Test
  void aMessageThatIsFarTooLargeIsRefused() throws IOException {
    var stub = OperationsServiceGrpc.newStub(with(channel, "Bearer " + token()));
    Calls.refused(
        Status.Code.RESOURCE_EXHAUSTED,
        () -> Calls.stream(stub::analyse, Calls.audio(new byte[Limits.MESSAGE_BYTES + 1])),
        "" + Limits.MESSAGE_BYTES);
  }

  @Test
  void listensOnLoopbackOnlyWithoutACertificate() {
    for (String host : List.of("0.0.0.0", "192.0.2.1", "::")) {
      IllegalArgumentException refused =
          assertThrows(
              IllegalArgumentException.class,
              () -> TakewrightServer.start(new ServerSettings(host, 0, List.of(), null)));
      assertTrue(refused.getMessage().contains("TLS"), refused.getMessage());
    }
  }

  @Test
  void aGrantedFolderMustBeThere() {
    assertThrows(
        IOException.class,
        () ->
            TakewrightServer.start(
                new ServerSettings(
                    ServerSettings.DEFAULT_HOST, 0, List.of(folder.resolve("no")), null)));
  }
}
