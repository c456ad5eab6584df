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
import java.io.InputStream;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.Key;
import java.security.KeyStore;
import java.util.Base64;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.LibraryServiceGrpc.LibraryServiceBlockingStub;
import takewright.v1.ListBuildsRequest;

/** A server with certificates of its own making, by the JDK's keytool. */
class TlsTest {
  @TempDir static Path folder;

  private static Identity server;
  private static Identity client;
  private static Identity stranger;

  /** A certificate and its key, in PEM. */
  private record Identity(Path certificate, Path key) {}

  @BeforeAll
  static void certificates() throws Exception {
    server = identity("server");
    client = identity("client");
    stranger = identity("stranger");
  }

  private static Identity identity(String name) throws Exception {
    Path store = folder.resolve(name + ".p12");
    Process keytool =
        new ProcessBuilder(
                Path.of(System.getProperty("java.home"), "bin", "keytool").toString(),
                "-genkeypair",
                "-alias",
                name,
                "-keyalg",
                "EC",
                "-groupname",
                "secp256r1",
                "-dname",
                "CN=" + name,
                "-ext",
                "san=dns:localhost,ip:127.0.0.1",
                "-validity",
                "2",
                "-keystore",
                store.toString(),
                "-storetype",
                "PKCS12",
                "-storepass",
                "for-tests-only")
            .redirectErrorStream(true)
            .redirectOutput(folder.resolve(name + ".log").toFile())
            .start();
    assertTrue(keytool.waitFor(60, TimeUnit.SECONDS));
    assertEquals(0, keytool.exitValue(), Files.readString(folder.resolve(name + ".log")));
    KeyStore keys = KeyStore.getInstance("PKCS12");
    char[] password = "for-tests-only".toCharArray();
    try (InputStream in = Files.newInputStream(store)) {
      keys.load(in, password);
    }
    Key key = keys.getKey(name, password);
    return new Identity(
        pem(name + ".crt", "CERTIFICATE", keys.getCertificate(name).getEncoded()),
        pem(name + ".key", "PRIVATE KEY", key.getEncoded()));
  }

  private static Path pem(String file, String what, byte[] bytes) throws Exception {
    String text = Base64.getMimeEncoder(64, new byte[] {'\n'}).encodeToString(bytes);
    return Files.writeString(
        folder.resolve(file),
        "-----BEGIN " + what + "-----\n" + text + "\n-----END " + what + "-----\n");
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

  private static void call(TakewrightServer to, Path authority, Identity as, boolean hasToken)
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
      TakewrightServer to, Path authority, Identity as, boolean hasToken) {
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
}
