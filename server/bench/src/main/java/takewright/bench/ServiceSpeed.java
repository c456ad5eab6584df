package takewright.bench;

import com.google.protobuf.ByteString;
import io.grpc.ManagedChannel;
import io.grpc.Metadata;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.stub.ClientCallStreamObserver;
import io.grpc.stub.ClientResponseObserver;
import io.grpc.stub.MetadataUtils;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.dsp.Medians;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.AudioInput;
import takewright.v1.AudioOutput;
import takewright.v1.FormatNameRequest;
import takewright.v1.NameFacts;
import takewright.v1.NamingServiceGrpc;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;
import takewright.v1.RetuneConfig;
import takewright.v1.RetuneRequest;
import takewright.v1.RetuneResponse;

/** The service as its clients see it: a process of its own, called over loopback. */
final class ServiceSpeed implements AutoCloseable {
  private static final int STARTS = 5;
  private static final int SMALL_CALLS = 2000;
  private static final int ANALYSES = 1000;

  /** Those before them: the JIT has done with them by then. */
  private static final int WARMING_ANALYSES = 1500;

  /** Bytes streamed there and back: a few minutes of a take. */
  private static final int STREAMED = 128 << 20;

  /** Bytes per message: as much as the contract lets one hold would be 1 MiB. */
  private static final int MESSAGE = 256 << 10;

  private static final PcmFormat PCM =
      PcmFormat.newBuilder()
          .setEncoding(PcmEncoding.PCM_ENCODING_FLOAT32)
          .setSampleRateHz(Takes.RATE)
          .setChannels(1)
          .build();

  /**
   * What was measured.
   *
   * @param readyS from the start of the launcher to a server that is ready, the median
   * @param smallMs a call that formats a name, the median
   * @param analyseMs a sample of 2 s streamed and analysed, the median
   * @param undisturbedMs what a twentieth of them did not take: other programs disturb it little
   * @param processorMs what the service's process spent on each of them, with Java's own threads
   * @param streamMbS audio streamed through a call that changes nothing, MiB a second each way
   * @param socketMbS the same bytes through a bare socket
   */
  record Took(
      double readyS,
      double smallMs,
      double analyseMs,
      double undisturbedMs,
      double processorMs,
      double streamMbS,
      double socketMbS) {}

  private final ServiceProcess process;
  private final ManagedChannel channel;

  private ServiceSpeed() throws IOException {
    process = new ServiceProcess();
    Metadata headers = new Metadata();
    headers.put(
        Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER),
        "Bearer " + Files.readString(process.token()).strip());
    channel =
        NettyChannelBuilder.forTarget(process.address())
            .usePlaintext()
            .proxyDetector(address -> null)
            .intercept(MetadataUtils.newAttachHeadersInterceptor(headers))
            .build();
  }

  static Took measure(Path take) throws Exception {
    double[] ready = new double[STARTS];
    for (int i = 0; i < STARTS - 1; i++) {
      try (ServiceSpeed service = new ServiceSpeed()) {
        ready[i] = service.process.readyS();
      }
    }
    try (ServiceSpeed service = new ServiceSpeed()) {
      ready[STARTS - 1] = service.process.readyS();
      double smallMs = service.smallCallMs();
      ByteString sample = sample(take);
      service.analysisMs(sample, WARMING_ANALYSES);
      Duration before = service.process.processorTime();
      double[] analyseMs = service.analysisMs(sample, ANALYSES);
      double processorMs =
          service.process.processorTime().minus(before).toNanos() / 1e6 / analyseMs.length;
      return new Took(
          Medians.of(ready),
          smallMs,
          Medians.of(analyseMs),
          quantile(analyseMs, 0.05),
          processorMs,
          service.streamed(),
          socket());
    }
  }

  private static double quantile(double[] values, double share) {
    double[] sorted = values.clone();
    Arrays.sort(sorted);
    return sorted[(int) (share * sorted.length)];
  }

  /** Two seconds from the first note on. */
  private static ByteString sample(Path take) throws IOException {
    try (AudioFile file = AudioFile.open(take)) {
      file.seek(3L * Takes.RATE);
      float[] x = Clip.read(file, 2 * Takes.RATE).channel(0);
      ByteBuffer bytes = ByteBuffer.allocate(4 * x.length).order(ByteOrder.LITTLE_ENDIAN);
      for (float v : x) {
        bytes.putFloat(v);
      }
      return ByteString.copyFrom(bytes.flip());
    }
  }

  private double smallCallMs() {
    var stub = NamingServiceGrpc.newBlockingStub(channel);
    FormatNameRequest request =
        FormatNameRequest.newBuilder()
            .setFacts(
                NameFacts.newBuilder()
                    .setLibrary("Bench")
                    .setArticulation("sustain")
                    .setLayer("close")
                    .setMidi(61)
                    .setDynamic("p")
                    .setRr(1))
            .build();
    double[] ms = new double[SMALL_CALLS];
    for (int i = -SMALL_CALLS; i < SMALL_CALLS; i++) {
      long start = System.nanoTime();
      stub.formatName(request);
      if (i >= 0) {
        ms[i] = (System.nanoTime() - start) / 1e6;
      }
    }
    return Medians.of(ms);
  }

  private double[] analysisMs(ByteString sample, int count) throws Exception {
    double[] ms = new double[count];
    for (int i = 0; i < count; i++) {
      long start = System.nanoTime();
      CompletableFuture<Void> done = new CompletableFuture<>();
      var call = OperationsServiceGrpc.newStub(channel).analyse(new Ended<AnalyseResponse>(done));
      AnalyseConfig config =
          AnalyseConfig.newBuilder().setInput(AudioInput.newBuilder().setPcm(PCM)).build();
      call.onNext(AnalyseRequest.newBuilder().setConfig(config).build());
      call.onNext(AnalyseRequest.newBuilder().setAudio(sample).build());
      call.onCompleted();
      done.get(30, TimeUnit.SECONDS);
      ms[i] = (System.nanoTime() - start) / 1e6;
    }
    return ms;
  }

  /** A call of which only the end is of interest. */
  private record Ended<A>(CompletableFuture<Void> done) implements io.grpc.stub.StreamObserver<A> {
    @Override
    public void onNext(A answer) {}

    @Override
    public void onError(Throwable problem) {
      done.completeExceptionally(problem);
    }

    @Override
    public void onCompleted() {
      done.complete(null);
    }
  }

  /** Retune by nothing gives the audio back as it came; MiB a second, of the better of two. */
  private double streamed() throws Exception {
    return Math.max(streamOnce(), streamOnce());
  }

  private double streamOnce() throws Exception {
    ByteString piece = ByteString.copyFrom(new byte[MESSAGE]);
    RetuneRequest audio = RetuneRequest.newBuilder().setAudio(piece).build();
    RetuneRequest config =
        RetuneRequest.newBuilder()
            .setConfig(
                RetuneConfig.newBuilder()
                    .setInput(AudioInput.newBuilder().setPcm(PCM))
                    .setOutput(AudioOutput.newBuilder().setPcm(PcmEncoding.PCM_ENCODING_FLOAT32))
                    .setCents(0))
            .build();
    CompletableFuture<Void> done = new CompletableFuture<>();
    long[] back = new long[1];
    long start = System.nanoTime();
    OperationsServiceGrpc.newStub(channel)
        .retune(
            new ClientResponseObserver<RetuneRequest, RetuneResponse>() {
              private int sent = -1;

              @Override
              public void beforeStart(ClientCallStreamObserver<RetuneRequest> call) {
                call.setOnReadyHandler(
                    () -> {
                      while (call.isReady() && sent < STREAMED / MESSAGE) {
                        call.onNext(sent < 0 ? config : audio);
                        sent++;
                        if (sent == STREAMED / MESSAGE) {
                          call.onCompleted();
                        }
                      }
                    });
              }

              @Override
              public void onNext(RetuneResponse answer) {
                back[0] += answer.getAudio().size();
              }

              @Override
              public void onError(Throwable problem) {
                done.completeExceptionally(problem);
              }

              @Override
              public void onCompleted() {
                done.complete(null);
              }
            });
    done.get(120, TimeUnit.SECONDS);
    if (back[0] != STREAMED) {
      throw new IOException(back[0] + " bytes came back of " + STREAMED);
    }
    return STREAMED / (double) (1 << 20) / ((System.nanoTime() - start) / 1e9);
  }

  /** The same bytes to an echo over a bare socket and back. */
  private static double socket() throws Exception {
    try (ServerSocket server = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
      Thread echo =
          new Thread(
              () -> {
                try (Socket socket = server.accept()) {
                  socket.getInputStream().transferTo(socket.getOutputStream());
                } catch (IOException e) {
                  // The other side sees it.
                }
              });
      echo.setDaemon(true);
      echo.start();
      long start = System.nanoTime();
      try (Socket socket = new Socket(server.getInetAddress(), server.getLocalPort())) {
        OutputStream out = socket.getOutputStream();
        Thread sender =
            new Thread(
                () -> {
                  byte[] piece = new byte[MESSAGE];
                  try {
                    for (int i = 0; i < STREAMED / MESSAGE; i++) {
                      out.write(piece);
                    }
                    socket.shutdownOutput();
                  } catch (IOException e) {
                    // The reader sees it.
                  }
                });
        sender.setDaemon(true);
        sender.start();
        InputStream in = socket.getInputStream();
        byte[] piece = new byte[MESSAGE];
        long back = 0;
        for (int n; (n = in.read(piece)) >= 0; ) {
          back += n;
        }
        if (back != STREAMED) {
          throw new IOException(back + " bytes came back of " + STREAMED);
        }
      }
      return STREAMED / (double) (1 << 20) / ((System.nanoTime() - start) / 1e9);
    }
  }

  @Override
  public void close() throws IOException {
    channel.shutdownNow();
    process.close();
  }

  /** What is put to a table. */
  static List<String[]> rows(Took took) {
    return List.of(
        new String[] {"time to a ready service, with its launcher", s(took.readyS), "s", "1"},
        new String[] {"a small call (a name from facts)", s(took.smallMs), "ms", "-"},
        new String[] {"2 s sample, streamed and analysed", s(took.analyseMs), "ms", "5"},
        new String[] {"the same, fastest 5 %", s(took.undisturbedMs), "ms", "-"},
        new String[] {"the same, processor time of the service", s(took.processorMs), "ms", "-"},
        new String[] {"audio streamed both ways at once", s(took.streamMbS), "MiB/s", "-"},
        new String[] {
          "the same bytes through a plain loopback socket", s(took.socketMbS), "MiB/s", "-"
        });
  }

  private static String s(double value) {
    return Table.figure(value);
  }
}
