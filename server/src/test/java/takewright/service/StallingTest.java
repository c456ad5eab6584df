package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.protobuf.ByteString;
import io.grpc.ManagedChannel;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.inprocess.InProcessChannelBuilder;
import io.grpc.stub.ClientCallStreamObserver;
import io.grpc.stub.ClientResponseObserver;
import io.grpc.stub.StreamObserver;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import takewright.service.work.Priority;
import takewright.service.work.Workers;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.AudioOutput;
import takewright.v1.DenoiseConfig;
import takewright.v1.DenoiseRequest;
import takewright.v1.DenoiseResponse;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.OperationsServiceGrpc.OperationsServiceStub;
import takewright.v1.PcmEncoding;

/** Clients that hold every place and stand still, until another client needs one. */
class StallingTest {
  private static final int RATE = 48_000;

  /** Longer than a call may stand still when others are refused; far shorter than it may else. */
  private static final int SOON_S = 60;

  private TakewrightServer server;
  private ManagedChannel channel;
  private OperationsServiceStub stub;

  @BeforeEach
  void start() throws Exception {
    server = TakewrightServer.startInProcess();
    channel = InProcessChannelBuilder.forName(server.address()).build();
    stub = OperationsServiceGrpc.newStub(channel);
  }

  @AfterEach
  void stop() throws Exception {
    channel.shutdownNow();
    server.close();
  }

  /** Keeps how a call ends, and asks for no answers beyond those it is told to. */
  private static final class Stalled<Q, A> implements ClientResponseObserver<Q, A> {
    private final CompletableFuture<Status> over = new CompletableFuture<>();

    @Override
    public void beforeStart(ClientCallStreamObserver<Q> call) {
      call.disableAutoRequestWithInitial(0);
    }

    @Override
    public void onNext(A answer) {}

    @Override
    public void onError(Throwable failure) {
      over.complete(Status.fromThrowable(failure));
    }

    @Override
    public void onCompleted() {
      over.complete(Status.OK);
    }
  }

  private static int places(Priority priority) {
    return Workers.max(priority, Runtime.getRuntime().availableProcessors());
  }

  /** Calls until there is a place, as long as the server says that there will be one. */
  private static void untilServed(Runnable call) throws InterruptedException {
    long until = System.nanoTime() + TimeUnit.SECONDS.toNanos(SOON_S);
    while (true) {
      try {
        call.run();
        return;
      } catch (StatusRuntimeException e) {
        assertEquals(Status.Code.RESOURCE_EXHAUSTED, e.getStatus().getCode(), e.toString());
        assertTrue(System.nanoTime() < until, "stalled calls keep their places");
      }
      Thread.sleep(250);
    }
  }

  private static void assertEndedAsTooSlow(List<? extends Stalled<?, ?>> calls) throws Exception {
    for (Stalled<?, ?> call : calls) {
      Status status = call.over.get(SOON_S, TimeUnit.SECONDS);
      assertEquals(Status.Code.DEADLINE_EXCEEDED, status.getCode(), status.toString());
    }
  }

  /** Both at once, since each takes as long as a call may stand still when others are refused. */
  @Test
  void callsThatSendOrReadNothingGiveTheirPlacesUp() throws Exception {
    ByteString note = ByteString.copyFrom(Calls.floats(Calls.note(RATE, 440).channel(0)));
    AnalyseRequest analyse = Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1));
    List<Stalled<AnalyseRequest, AnalyseResponse>> sendNothing = new ArrayList<>();
    for (int i = 0; i < places(Priority.SHORT); i++) {
      Stalled<AnalyseRequest, AnalyseResponse> call = new Stalled<>();
      stub.analyse(call).onNext(analyse);
      sendNothing.add(call);
    }
    DenoiseRequest denoise =
        DenoiseRequest.newBuilder()
            .setConfig(
                DenoiseConfig.newBuilder()
                    .setInput(Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1))
                    .setOutput(AudioOutput.newBuilder().setPcm(PcmEncoding.PCM_ENCODING_FLOAT32)))
            .build();
    DenoiseRequest audio = DenoiseRequest.newBuilder().setAudio(note).build();
    List<Stalled<DenoiseRequest, DenoiseResponse>> readNothing = new ArrayList<>();
    for (int i = 0; i < places(Priority.LONG); i++) {
      Stalled<DenoiseRequest, DenoiseResponse> call = new Stalled<>();
      StreamObserver<DenoiseRequest> requests = stub.denoise(call);
      requests.onNext(denoise);
      requests.onNext(audio);
      requests.onCompleted();
      readNothing.add(call);
    }
    untilServed(
        () ->
            Calls.stream(
                stub::analyse, analyse, AnalyseRequest.newBuilder().setAudio(note).build()));
    untilServed(() -> Calls.stream(stub::denoise, denoise, audio));
    assertEndedAsTooSlow(sendNothing);
    assertEndedAsTooSlow(readNothing);
  }
}
