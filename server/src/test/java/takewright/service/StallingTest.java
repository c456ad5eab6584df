package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.protobuf.ByteString;
import io.grpc.ManagedChannel;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.inprocess.InProcessChannelBuilder;
import io.grpc.stub.StreamObserver;
import java.util.ArrayList;
import java.util.List;
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

  private static int places(Priority priority) {
    return Workers.max(priority, Runtime.getRuntime().availableProcessors());
  }

  /** Calls until there is a place, as long as the server says that there will be one. */
  private static void untilServed(Runnable call) throws InterruptedException {
    long until = System.nanoTime() + TimeUnit.SECONDS.toNanos(CallEnd.SOON_S);
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

  /** Those that give their places up, which are no more than others ask for, are told why. */
  private static void assertSomeEndedAsTooSlow(List<? extends CallEnd<?, ?>> calls)
      throws Exception {
    long until = System.nanoTime() + TimeUnit.SECONDS.toNanos(CallEnd.SOON_S);
    while (calls.stream().noneMatch(CallEnd::isOver)) {
      assertTrue(System.nanoTime() < until, "no call has ended");
      Thread.sleep(50);
    }
    for (CallEnd<?, ?> call : calls) {
      if (call.isOver()) {
        Status status = call.soon();
        assertEquals(Status.Code.DEADLINE_EXCEEDED, status.getCode(), status.toString());
      }
    }
  }

  /** Both at once, since each takes as long as a call may stand still when others are refused. */
  @Test
  void callsThatSendOrReadNothingGiveTheirPlacesUp() throws Exception {
    ByteString note = ByteString.copyFrom(Calls.floats(Calls.note(RATE, 440).channel(0)));
    AnalyseRequest analyse = Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1));
    List<CallEnd<AnalyseRequest, AnalyseResponse>> sendNothing = new ArrayList<>();
    for (int i = 0; i < places(Priority.SHORT); i++) {
      CallEnd<AnalyseRequest, AnalyseResponse> call = CallEnd.readingNothing();
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
    List<CallEnd<DenoiseRequest, DenoiseResponse>> readNothing = new ArrayList<>();
    for (int i = 0; i < places(Priority.LONG); i++) {
      CallEnd<DenoiseRequest, DenoiseResponse> call = CallEnd.readingNothing();
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
    assertSomeEndedAsTooSlow(sendNothing);
    assertSomeEndedAsTooSlow(readNothing);
  }
}
