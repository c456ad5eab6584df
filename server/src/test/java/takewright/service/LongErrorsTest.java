package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.protobuf.InvalidProtocolBufferException;
import com.google.rpc.ErrorInfo;
import io.grpc.BindableService;
import io.grpc.Grpc;
import io.grpc.InsecureChannelCredentials;
import io.grpc.InsecureServerCredentials;
import io.grpc.ManagedChannel;
import io.grpc.Server;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.netty.shaded.io.grpc.netty.NettyServerBuilder;
import io.grpc.protobuf.StatusProto;
import io.grpc.stub.StreamObserver;
import java.io.IOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.nio.charset.StandardCharsets;
import java.util.concurrent.TimeUnit;
import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.Example;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import net.jqwik.api.lifecycle.AfterContainer;
import net.jqwik.api.lifecycle.BeforeContainer;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;
import takewright.service.wire.ErrorDetails;
import takewright.v1.NamingServiceGrpc;
import takewright.v1.ParseNameRequest;
import takewright.v1.ParseNameResponse;

/**
 * Errors that quote long input, as they reach a client: gRPC's clients refuse headers above 8 KiB,
 * counted as RFC 9113, 6.5.2 says.
 */
class LongErrorsTest {
  /** Below the 8 KiB of the clients, so that proxies may add something. */
  private static final int METADATA_BYTES = 7 << 10;

  private static volatile Problem next;
  private static Server failing;
  private static Server real;
  private static ManagedChannel toFailing;
  private static ManagedChannel toReal;

  private static final class Failing extends NamingServiceGrpc.NamingServiceImplBase {
    @Override
    public void parseName(ParseNameRequest request, StreamObserver<ParseNameResponse> answer) {
      answer.onError(ErrorDetails.of(next));
    }
  }

  private static Server serve(BindableService service) throws IOException {
    return NettyServerBuilder.forAddress(
            new InetSocketAddress(InetAddress.getLoopbackAddress(), 0),
            InsecureServerCredentials.create())
        .addService(service)
        .build()
        .start();
  }

  @BeforeContainer
  static void start() throws IOException {
    failing = serve(new Failing());
    real = serve(new NamingService());
    toFailing =
        NettyChannelBuilder.forAddress(
                "127.0.0.1", failing.getPort(), InsecureChannelCredentials.create())
            .maxInboundMetadataSize(METADATA_BYTES)
            .build();
    // A client with default limits.
    toReal =
        Grpc.newChannelBuilderForAddress(
                "127.0.0.1", real.getPort(), InsecureChannelCredentials.create())
            .build();
  }

  @AfterContainer
  static void stop() {
    toFailing.shutdownNow();
    toReal.shutdownNow();
    failing.shutdownNow();
    real.shutdownNow();
  }

  private static StatusRuntimeException failure(ManagedChannel channel, String name) {
    return assertThrows(
        StatusRuntimeException.class,
        () ->
            NamingServiceGrpc.newBlockingStub(channel)
                .withDeadlineAfter(60, TimeUnit.SECONDS)
                .parseName(ParseNameRequest.newBuilder().setName(name).build()));
  }

  private static ErrorInfo info(StatusRuntimeException failure)
      throws InvalidProtocolBufferException {
    com.google.rpc.Status status = StatusProto.fromThrowable(failure);
    assertNotNull(status);
    return status.getDetails(0).unpack(ErrorInfo.class);
  }

  @Property(tries = 150)
  void whateverIsQuotedReachesTheClientWithItsBeginningAndItsEnd(
      @ForAll("problems") Problem problem) throws InvalidProtocolBufferException {
    next = problem;
    StatusRuntimeException failure = failure(toFailing, "");
    ErrorInfo info = info(failure);
    assertEquals(problem.reason().name(), info.getReason());
    assertShortened(problem.what(), info.getMetadataOrThrow("what"));
    assertShortened(problem.remedy(), info.getMetadataOrThrow("remedy"));
    assertShortened(problem.field(), info.getMetadataOrDefault("field", ""));
    if (problem.text().getBytes(StandardCharsets.UTF_8).length <= 700) {
      assertEquals(problem.text(), failure.getStatus().getDescription(), "short ones stay whole");
    }
  }

  private static void assertShortened(String whole, String sent) {
    if (!whole.equals(sent)) {
      String[] ends = sent.split("\u2026", -1);
      assertTrue(whole.startsWith(ends[0]), sent);
      assertTrue(whole.endsWith(ends[ends.length - 1]), sent);
      assertFalse(ends[0].isEmpty(), sent);
      assertFalse(sent.contains("\uFFFD"), "cut between code points");
    }
  }

  @Provide
  Arbitrary<Problem> problems() {
    Arbitrary<String> texts =
        Arbitraries.of("y", "% ", "ü", "楽", "🎻", "a🎻", "key: ")
            .flatMap(
                unit ->
                    Arbitraries.integers()
                        .between(0, 20_000)
                        .edgeCases(edges -> edges.includeOnly(0, 100, 20_000))
                        .map(n -> "is [" + unit.repeat(n) + "]"));
    Arbitrary<Problem> problems =
        Combinators.combine(Arbitraries.of(Reason.values()), texts, texts, texts).as(Problem::new);
    return Combinators.combine(problems, texts, Arbitraries.of(true, false))
        .as(
            (problem, file, isInFile) ->
                isInFile ? problem.at(file, 12).of(problem.field()) : problem);
  }

  @Example
  void aLongNameIsRefusedWithItsFieldForAnyLength() throws InvalidProtocolBufferException {
    for (int length : new int[] {2_000, 30_000, 100_000}) {
      StatusRuntimeException failure = failure(toReal, "x".repeat(length));
      assertEquals(Status.Code.INVALID_ARGUMENT, failure.getStatus().getCode());
      assertEquals("name", info(failure).getMetadataOrThrow("field"));
    }
  }
}
