package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.google.protobuf.ByteString;
import io.grpc.ManagedChannel;
import io.grpc.Metadata;
import io.grpc.StatusRuntimeException;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.stub.MetadataUtils;
import io.grpc.stub.StreamObserver;
import java.io.BufferedReader;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.TreeSet;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Assertions;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.AudioInput;
import takewright.v1.CheckSheetRequest;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;

/** The log of a service in a process of its own. */
class ServeLogTest {
  private static final Metadata.Key<String> AUTHORIZATION =
      Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER);

  /** What no log may hold: in sound, in a file, and as a token. */
  private static final String SECRET = "heard-by-nobody-";

  @TempDir Path folder;

  private static ManagedChannel channel(int port, String token) {
    Metadata headers = new Metadata();
    headers.put(AUTHORIZATION, "Bearer " + token);
    return NettyChannelBuilder.forAddress("127.0.0.1", port)
        .usePlaintext()
        .intercept(MetadataUtils.newAttachHeadersInterceptor(headers))
        .build();
  }

  @Test
  void aLineOfJsonACallAndNeverAudioTokensOrContents() throws Exception {
    Path token = folder.resolve("token");
    Path errors = folder.resolve("log");
    Process process =
        new ProcessBuilder(
                Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                "-XX:TieredStopAtLevel=1",
                "-XX:+UseSerialGC",
                "-cp",
                System.getProperty("java.class.path"),
                Main.class.getName(),
                "serve",
                "--port=0",
                "--log=json",
                "--allow=" + folder,
                "--token-file=" + token)
            .redirectError(errors.toFile())
            .start();
    String secret;
    try (BufferedReader out = process.inputReader()) {
      Matcher line = Pattern.compile("127\\.0\\.0\\.1:(\\d+)").matcher(out.readLine());
      assertTrue(line.find());
      int port = Integer.parseInt(line.group(1));
      secret = Files.readString(token).strip();
      ManagedChannel channel = channel(port, secret);
      try {
        analyse(channel);
        Path sheet = Files.writeString(folder.resolve("sheet.yaml"), "library: " + SECRET + "\n{");
        LibraryServiceGrpc.newBlockingStub(channel)
            .withDeadlineAfter(30, TimeUnit.SECONDS)
            .checkSheet(CheckSheetRequest.newBuilder().setSheetFile(sheet.toString()).build());
      } finally {
        channel.shutdownNow();
      }
      ManagedChannel stranger = channel(port, SECRET);
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
      process.destroy();
      assertTrue(process.waitFor(30, TimeUnit.SECONDS));
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
            .analyse(
                new StreamObserver<>() {
                  @Override
                  public void onNext(AnalyseResponse answer) {}

                  @Override
                  public void onError(Throwable failure) {
                    over.countDown();
                  }

                  @Override
                  public void onCompleted() {
                    over.countDown();
                  }
                });
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
