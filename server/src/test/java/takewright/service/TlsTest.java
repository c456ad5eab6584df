package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.ManagedChannel;
import io.grpc.Metadata;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.TlsChannelCredentials;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.stub.MetadataUtils;
import java.net.InetAddress;
import java.net.Socket;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermissions;
import java.time.Duration;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.testing.SelfSigned;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.LibraryServiceGrpc.LibraryServiceBlockingStub;
import takewright.v1.ListBuildsRequest;

/** A server with certificates of its own making, by the JDK's keytool. */
class TlsTest {
  @TempDir static Path folder;

  private static SelfSigned server;
  private static SelfSigned client;
  private static SelfSigned stranger;

  @BeforeAll
  static void certificates() throws Exception {
    server = SelfSigned.make(folder, "server");
    client = SelfSigned.make(folder, "client");
    stranger = SelfSigned.make(folder, "stranger");
  }

  private static TakewrightServer start(String host, Path clientAuthority) throws Exception {
    return TakewrightServer.start(
        new ServerSettings(
            host,
            0,
            List.of(),
            folder.resolve("token"),
            new ServerSettings.Tls(server.certificate(), server.key(), clientAuthority),
            0,
            -1,
            0,
            null));
  }

  private static void call(TakewrightServer to, Path authority, SelfSigned as, boolean hasToken)
      throws Exception {
    TlsChannelCredentials.Builder credentials =
        TlsChannelCredentials.newBuilder().trustManager(authority.toFile());
    if (as != null) {
      credentials.keyManager(as.certificate().toFile(), as.key().toFile());
    }
    ManagedChannel channel =
        NettyChannelBuilder.forTarget("localhost:" + to.port(), credentials.build()).build();
    try {
      Metadata headers = new Metadata();
      if (hasToken) {
        headers.put(
            Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER),
            "Bearer " + Files.readString(to.tokenFile()).strip());
      }
      LibraryServiceBlockingStub stub =
          LibraryServiceGrpc.newBlockingStub(channel)
              .withInterceptors(MetadataUtils.newAttachHeadersInterceptor(headers))
              .withDeadlineAfter(20, TimeUnit.SECONDS);
      stub.listBuilds(ListBuildsRequest.getDefaultInstance());
    } finally {
      channel.shutdownNow();
    }
  }

  private static Status.Code refusal(
      TakewrightServer to, Path authority, SelfSigned as, boolean hasToken) {
    return assertThrows(StatusRuntimeException.class, () -> call(to, authority, as, hasToken))
        .getStatus()
        .getCode();
  }

  @Test
  void listensBeyondLoopbackWithACertificateAndStillAsksForTheToken() throws Exception {
    try (TakewrightServer all = start("0.0.0.0", null)) {
      call(all, server.certificate(), null, true);
      assertEquals(Status.Code.UNAUTHENTICATED, refusal(all, server.certificate(), null, false));
      // Whoever is not vouched for is not spoken to.
      assertEquals(Status.Code.UNAVAILABLE, refusal(all, stranger.certificate(), null, true));
    }
  }

  @Test
  void asksClientsForACertificateWhereItShould() throws Exception {
    try (TakewrightServer strict = start("127.0.0.1", client.certificate())) {
      call(strict, server.certificate(), client, true);
      assertEquals(Status.Code.UNAVAILABLE, refusal(strict, server.certificate(), null, true));
      assertEquals(Status.Code.UNAVAILABLE, refusal(strict, server.certificate(), stranger, true));
    }
  }

  @Test
  void metricsCountCallsByMethodAndStatusAndHoldNoToken() throws Exception {
    try (TakewrightServer measured = start("127.0.0.1", null)) {
      call(measured, server.certificate(), null, true);
      refusal(measured, server.certificate(), null, false);
      String token = Files.readString(measured.tokenFile()).strip();
      HttpResponse<String> page =
          HttpClient.newHttpClient()
              .send(
                  HttpRequest.newBuilder(
                          URI.create("http://127.0.0.1:" + measured.metricsPort() + "/metrics"))
                      .build(),
                  HttpResponse.BodyHandlers.ofString());
      assertEquals(200, page.statusCode());
      String counts =
          "takewright_call_seconds_count{method=\"takewright.v1.LibraryService/ListBuilds\"";
      assertTrue(page.body().contains(counts + ",code=\"OK\"} 1\n"), page.body());
      assertTrue(page.body().contains(counts + ",code=\"UNAUTHENTICATED\"} 1\n"), page.body());
      assertTrue(page.body().contains("takewright_calls_running 0\n"), page.body());
      assertFalse(page.body().contains(token));
      // Prometheus' text format 0.0.4: comments, and lines of a name with labels, and a number.
      for (String line : page.body().lines().toList()) {
        assertTrue(
            line.matches("# (HELP|TYPE) \\w+ .+")
                || line.matches("\\w+(\\{\\w+=\"[^\"]*\"(,\\w+=\"[^\"]*\")*\\})? [-+.eE0-9]+"),
            line);
      }
    }
  }

  @Test
  void aKeyThatOthersCanReadIsRefused() throws Exception {
    Path key = Files.copy(server.key(), folder.resolve("open.key"));
    Files.setPosixFilePermissions(key, PosixFilePermissions.fromString("rw-r--r--"));
    IllegalArgumentException refused =
        assertThrows(
            IllegalArgumentException.class,
            () ->
                TakewrightServer.start(
                    new ServerSettings(
                        "127.0.0.1",
                        0,
                        List.of(),
                        folder.resolve("token"),
                        new ServerSettings.Tls(server.certificate(), key, null),
                        -1,
                        -1,
                        0,
                        null)));
    assertTrue(refused.getMessage().contains("chmod 600"), refused.getMessage());
  }

  @Test
  void metricsAreAnsweredThereAloneAndBesideAHalfRequest() throws Exception {
    try (TakewrightServer measured = start("127.0.0.1", null);
        Socket half = new Socket(InetAddress.getLoopbackAddress(), measured.metricsPort())) {
      half.getOutputStream().write("GET /metr".getBytes(StandardCharsets.US_ASCII));
      half.getOutputStream().flush();
      HttpClient client = HttpClient.newHttpClient();
      for (String path : List.of("/metrics", "/metrics/x", "/metricsandmore", "/")) {
        HttpRequest request =
            HttpRequest.newBuilder(URI.create("http://127.0.0.1:" + measured.metricsPort() + path))
                .timeout(Duration.ofSeconds(20))
                .build();
        assertEquals(
            path.equals("/metrics") ? 200 : 404,
            client.send(request, HttpResponse.BodyHandlers.discarding()).statusCode(),
            path);
      }
    }
  }
}
