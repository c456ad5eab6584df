package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.google.protobuf.Any;
import com.google.rpc.ErrorInfo;
import io.grpc.Grpc;
import io.grpc.InsecureChannelCredentials;
import io.grpc.InsecureServerCredentials;
import io.grpc.ManagedChannel;
import io.grpc.Server;
import io.grpc.StatusRuntimeException;
import io.grpc.netty.shaded.io.grpc.netty.NettyServerBuilder;
import io.grpc.protobuf.StatusProto;
import io.grpc.stub.StreamObserver;
import java.io.IOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import takewright.diagnosis.Problem;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.service.http.HttpDoor;
import takewright.service.wire.ErrorDetails;
import takewright.service.wire.Failures;
import takewright.v1.NamingServiceGrpc;
import takewright.v1.ParseNameRequest;
import takewright.v1.ParseNameResponse;

/**
 * Problems of every reason, as a client reads them that calls over the network: by gRPC, and by
 * plain HTTP, whose statuses are those of the comments of google/rpc/code.proto.
 */
class RemediesReachClientsTest {
  private static final ObjectMapper JSON = new ObjectMapper();

  private static final Map<Integer, Integer> HTTP_STATUS =
      Map.ofEntries(
          Map.entry(1, 499),
          Map.entry(3, 400),
          Map.entry(4, 504),
          Map.entry(5, 404),
          Map.entry(6, 409),
          Map.entry(7, 403),
          Map.entry(8, 429),
          Map.entry(9, 400),
          Map.entry(10, 409),
          Map.entry(13, 500),
          Map.entry(14, 503),
          Map.entry(16, 401));

  private static Server server;
  private static ManagedChannel channel;
  private static HttpDoor door;

  /** A service with a problem of the reason that the name says. */
  private static final class Failing extends NamingServiceGrpc.NamingServiceImplBase {
    @Override
    public void parseName(ParseNameRequest request, StreamObserver<ParseNameResponse> answer) {
      Problem problem =
          new Problem(
              Reason.valueOf(request.getName()), "name", "cannot be used", "choose another one");
      answer.onError(ErrorDetails.of(Failures.of(new ProblemException(problem))));
    }
  }

  @BeforeAll
  static void start() throws IOException {
    server =
        NettyServerBuilder.forAddress(
                new InetSocketAddress(InetAddress.getLoopbackAddress(), 0),
                InsecureServerCredentials.create())
            .addService(new Failing())
            .build()
            .start();
    channel =
        Grpc.newChannelBuilderForAddress(
                "127.0.0.1", server.getPort(), InsecureChannelCredentials.create())
            .build();
    door =
        HttpDoor.open(
            0,
            List.copyOf(NamingServiceGrpc.getServiceDescriptor().getMethods()),
            channel,
            "the-token"::equals,
            1 << 16);
  }

  @AfterAll
  static void stop() {
    door.close();
    channel.shutdownNow();
    server.shutdownNow();
  }

  @ParameterizedTest
  @EnumSource
  void byGrpc(Reason reason) throws IOException {
    StatusRuntimeException failure =
        assertThrows(
            StatusRuntimeException.class,
            () ->
                NamingServiceGrpc.newBlockingStub(channel)
                    .parseName(ParseNameRequest.newBuilder().setName(reason.name()).build()));
    assertEquals("`name` cannot be used; choose another one", failure.getStatus().getDescription());
    Any first = StatusProto.fromThrowable(failure).getDetails(0);
    ErrorInfo info = first.unpack(ErrorInfo.class);
    assertEquals(reason.name(), info.getReason());
    assertEquals("choose another one", info.getMetadataOrThrow("remedy"));
  }

  @ParameterizedTest
  @EnumSource
  void byHttp(Reason reason) throws IOException, InterruptedException {
    HttpRequest request =
        HttpRequest.newBuilder(URI.create("http://127.0.0.1:" + door.port() + "/v1/ParseName"))
            .header("Authorization", "Bearer the-token")
            .POST(HttpRequest.BodyPublishers.ofString("{\"name\": \"" + reason.name() + "\"}"))
            .build();
    HttpResponse<String> answer =
        HttpClient.newHttpClient().send(request, HttpResponse.BodyHandlers.ofString());
    JsonNode error = JSON.readTree(answer.body()).get("error");
    assertEquals("`name` cannot be used; choose another one", error.get("message").textValue());
    JsonNode info = error.get("details").get(0);
    assertEquals(reason.name(), info.get("reason").textValue());
    assertEquals("choose another one", info.get("metadata").get("remedy").textValue());
    assertEquals(HTTP_STATUS.get(error.get("code").intValue()), answer.statusCode());
  }
}
