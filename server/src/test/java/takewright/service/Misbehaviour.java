package takewright.service;

import com.google.protobuf.ByteString;
import io.grpc.ManagedChannel;
import io.grpc.stub.ClientCallStreamObserver;
import io.grpc.stub.StreamObserver;
import java.io.IOException;
import java.net.InetAddress;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.util.Random;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import takewright.testing.UntilOver;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.FollowSessionConfig;
import takewright.v1.FollowSessionRequest;
import takewright.v1.FollowSessionResponse;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;
import takewright.v1.SessionServiceGrpc;

/** Clients that hold what they have, or go without a word. */
final class Misbehaviour {
  private static final int RATE = 48_000;
  private static final int HELD_S = 4;

  private static final String SHEET =
      """
      library: Wickmere
      takes: [{file: take.wav, articulation: tap, kind: unpitched, round_robins: 2}]
      """;

  /** A connection of its own for a client. */
  interface Dialling {
    ManagedChannel dial() throws IOException;
  }

  private final Dialling dialling;
  private final int port;
  private final ByteString second;

  /**
   * @param dialling makes a connection to the service
   * @param port of the service, on loopback
   * @param second of audio: 48000 samples, 32-bit float
   */
  Misbehaviour(Dialling dialling, int port, byte[] second) {
    this.dialling = dialling;
    this.port = port;
    this.second = ByteString.copyFrom(second);
  }

  /** One of them; what it did. */
  String once(Random random) throws IOException, InterruptedException {
    switch (random.nextInt(4)) {
      case 0 -> {
        readNothing();
        return "reads nothing";
      }
      case 1 -> {
        halfOpen("PRI * HTTP/2.0\r\n");
        return "half a preface";
      }
      case 2 -> {
        halfOpen("PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n\0\0\0\4\0\0\0\0\0");
        return "a connection without calls";
      }
      default -> {
        dropSession();
        return "a dropped session";
      }
    }
  }

  /** Sends audio that is described block by block, and asks for none of the answers. */
  private void readNothing() throws IOException, InterruptedException {
    ManagedChannel channel = dialling.dial();
    CountDownLatch over = new CountDownLatch(1);
    StreamObserver<AnalyseRequest> call =
        OperationsServiceGrpc.newStub(channel)
            .analyse(
                new UntilOver<AnalyseRequest, AnalyseResponse>(over) {
                  @Override
                  public void beforeStart(ClientCallStreamObserver<AnalyseRequest> stream) {
                    stream.disableAutoRequestWithInitial(0);
                  }
                });
    call.onNext(
        AnalyseRequest.newBuilder()
            .setConfig(
                AnalyseConfig.newBuilder()
                    .setInput(Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1))
                    .setBlockMs(20))
            .build());
    for (int i = 0; i < 20 && over.getCount() > 0; i++) {
      call.onNext(AnalyseRequest.newBuilder().setAudio(second).build());
    }
    if (over.getCount() > 0) {
      call.onCompleted();
    }
    over.await(HELD_S, TimeUnit.SECONDS);
    channel.shutdownNow();
    channel.awaitTermination(HELD_S, TimeUnit.SECONDS);
  }

  /** Begins a connection, and says no more. */
  private void halfOpen(String beginning) throws IOException, InterruptedException {
    try (Socket socket = new Socket(InetAddress.getLoopbackAddress(), port)) {
      socket.getOutputStream().write(beginning.getBytes(StandardCharsets.ISO_8859_1));
      Thread.sleep(HELD_S * 1000);
    }
  }

  /** Begins to follow a session, and is gone. */
  private void dropSession() throws IOException, InterruptedException {
    ManagedChannel channel = dialling.dial();
    CountDownLatch heard = new CountDownLatch(1);
    StreamObserver<FollowSessionRequest> call =
        SessionServiceGrpc.newStub(channel)
            .followSession(
                new StreamObserver<>() {
                  @Override
                  public void onNext(FollowSessionResponse answer) {
                    heard.countDown();
                  }

                  @Override
                  public void onError(Throwable e) {
                    heard.countDown();
                  }

                  @Override
                  public void onCompleted() {
                    heard.countDown();
                  }
                });
    call.onNext(
        FollowSessionRequest.newBuilder()
            .setConfig(
                FollowSessionConfig.newBuilder()
                    .setSheetText(SHEET)
                    .setTake("take.wav")
                    .setFormat(
                        PcmFormat.newBuilder()
                            .setEncoding(PcmEncoding.PCM_ENCODING_FLOAT32)
                            .setSampleRateHz(RATE)
                            .setChannels(1)))
            .build());
    call.onNext(FollowSessionRequest.newBuilder().setAudio(second).build());
    heard.await(HELD_S, TimeUnit.SECONDS);
    channel.shutdownNow();
    channel.awaitTermination(HELD_S, TimeUnit.SECONDS);
  }
}
