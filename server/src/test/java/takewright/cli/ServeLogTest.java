package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.google.protobuf.ByteString;
import io.grpc.ManagedChannel;
import io.grpc.StatusRuntimeException;
import io.grpc.stub.StreamObserver;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.TreeSet;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Assertions;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.testing.ServerProcess;
import takewright.testing.UntilOver;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AudioInput;
import takewright.v1.CheckSheetRequest;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;

/** The log of a service in a process of its own. */
class ServeLogTest {
  /** What no log may hold: in sound, in a file, and as a token. */
  private static final String SECRET = "heard-by-nobody-";

  @TempDir Path folder;

  @Test
  void aLineOfJsonACallAndNeverAudioTokensOrContents() throws Exception {
    Path token = folder.resolve("token");
    Path errors = folder.resolve("log");
    ServerProcess server =
        ServerProcess.start(token, errors, "--log=json", "--allow=" + folder, "--state=" + folder);
    String secret = Files.readString(token).strip();
    try {
      ManagedChannel channel = server.channel();
      try {
        analyse(channel);
        Path sheet = Files.writeString(folder.resolve("sheet.yaml"), "library: " + SECRET + "\n{");
        LibraryServiceGrpc.newBlockingStub(channel)
            .withDeadlineAfter(30, TimeUnit.SECONDS)
            .checkSheet(CheckSheetRequest.newBuilder().setSheetFile(sheet.toString()).build());
      } finally {
        channel.shutdownNow();
      }
      ManagedChannel stranger = server.channel(SECRET);
      try {
        Assertions.assertThrows(
            StatusRuntimeException.class,
            () ->
                LibraryServiceGrpc.newBlockingStub(stranger)
                    .withDeadlineAfter(30, TimeUnit.SECONDS)
                    .checkSheet(CheckSheetRequest.getDefaultInstance()));
      } finally {
        stranger.shutdownNow();
      }
    } finally {
      server.stop();
    }

    String log = Files.readString(errors);
    assertFalse(log.contains(SECRET), log);
    assertFalse(log.contains(secret), log);
    List<String> lines = log.lines().toList();
    assertEquals(3, lines.size(), log);
    ObjectMapper json = new ObjectMapper();
    TreeSet<String> calls = new TreeSet<>();
    for (String line : lines) {
      JsonNode event = json.readTree(line);
      TreeSet<String> fields = new TreeSet<>();
      event.fieldNames().forEachRemaining(fields::add);
      assertEquals(
          List.of(
              "bytes_in",
              "bytes_out",
              "duration_ms",
              "level",
              "logger",
              "message",
              "method",
              "peer",
              "status",
              "time"),
          List.copyOf(fields));
      assertTrue(event.get("peer").asText().matches("127\\.0\\.0\\.1:\\d+"), line);
      assertTrue(event.get("duration_ms").asLong() >= 0, line);
      calls.add(event.get("method").asText() + " " + event.get("status").asText());
      if (event.get("method").asText().endsWith("Analyse")) {
        assertTrue(event.get("bytes_in").asLong() > 4 * SECRET.length(), line);
      }
    }
    assertEquals(
        List.of(
            "takewright.v1.LibraryService/CheckSheet OK",
            "takewright.v1.LibraryService/CheckSheet UNAUTHENTICATED",
            "takewright.v1.OperationsService/Analyse OK"),
        List.copyOf(calls));
  }

  private static void analyse(ManagedChannel channel) throws InterruptedException {
    CountDownLatch over = new CountDownLatch(1);
    StreamObserver<AnalyseRequest> call =
        OperationsServiceGrpc.newStub(channel)
            .withDeadlineAfter(30, TimeUnit.SECONDS)
            .analyse(new UntilOver<>(over));
    call.onNext(
        AnalyseRequest.newBuilder()
            .setConfig(
                AnalyseConfig.newBuilder()
                    .setInput(
                        AudioInput.newBuilder()
                            .setPcm(
                                PcmFormat.newBuilder()
                                    .setEncoding(PcmEncoding.PCM_ENCODING_INT16)
                                    .setSampleRateHz(8000)
                                    .setChannels(1))))
            .build());
    byte[] audio = SECRET.repeat(1000).getBytes(StandardCharsets.US_ASCII);
    call.onNext(AnalyseRequest.newBuilder().setAudio(ByteString.copyFrom(audio)).build());
    call.onCompleted();
    assertTrue(over.await(30, TimeUnit.SECONDS));
  }
}
