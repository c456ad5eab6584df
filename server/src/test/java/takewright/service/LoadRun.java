package takewright.service;

import com.google.protobuf.Any;
import com.google.protobuf.ByteString;
import com.google.protobuf.InvalidProtocolBufferException;
import com.google.rpc.RetryInfo;
import io.grpc.ManagedChannel;
import io.grpc.Metadata;
import io.grpc.Status;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.protobuf.StatusProto;
import io.grpc.stub.ClientCallStreamObserver;
import io.grpc.stub.ClientResponseObserver;
import io.grpc.stub.MetadataUtils;
import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.Socket;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.TreeMap;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Semaphore;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicReference;
import java.util.logging.Level;
import java.util.logging.Logger;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.ListBuildsRequest;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.PcmEncoding;
import takewright.v1.SegmentConfig;
import takewright.v1.SegmentRequest;
import takewright.v1.SegmentResponse;

/**
 * A load, run by hand: 64 clients on a server in a process of its own with a heap of 512 MiB, each
 * over and over a list of builds, a streamed sample, a streamed take, a call that is cancelled, a
 * stream that is left to its deadline, or a connection of random bytes. A client that is refused
 * tries again when the server said. Prints counts, latencies by what was called and how it ended,
 * and the server's threads, memory and calls before and after. The first word is the seconds.
 */
final class LoadRun {
  private static final int CLIENTS = 64;
  private static final int RATE = 48_000;

  /** Held, so that its level stays: it writes a page for each connection of random bytes. */
  private static final Logger NETWORK = Logger.getLogger("io.grpc");

  private final Map<String, List<Double>> outcomes = new TreeMap<>();
  private final byte[] note = Calls.floats(Calls.note(RATE, 440).channel(0));

  private static final Pattern READY =
      Pattern.compile("127\\.0\\.0\\.1:(?<port>\\d+),.*127\\.0\\.0\\.1:(?<metrics>\\d+)/");
  private static final Pattern RESIDENT = Pattern.compile("VmRSS:\\s+(\\d+) kB");

  private LoadRun() {}

  public static void main(String[] words) throws Exception {
    NETWORK.setLevel(Level.SEVERE);
    new LoadRun().run(Integer.parseInt(words[0]));
  }

  private void run(int seconds) throws Exception {
    Path folder = Files.createTempDirectory("load");
    Process process =
        new ProcessBuilder(
                Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                "-Xmx512m",
                "-XX:+UseParallelGC",
                "-cp",
                System.getProperty("java.class.path"),
                "takewright.cli.Main",
                "serve",
                "--port=0",
                "--metrics-port=0",
                "--token-file=" + folder.resolve("token"))
            .redirectError(ProcessBuilder.Redirect.INHERIT)
            .start();
    try (BufferedReader said = process.inputReader()) {
      Matcher ready = READY.matcher(said.readLine());
      if (!ready.find()) {
        throw new AssertionError("the server does not start");
      }
      Server server =
          new Server(
              process,
              Integer.parseInt(ready.group("port")),
              Integer.parseInt(ready.group("metrics")),
              folder.resolve("token"));
      idle(server);
      System.out.println("before: " + server.state());
      ExecutorService clients = Executors.newFixedThreadPool(CLIENTS);
      long until = System.nanoTime() + seconds * 1_000_000_000L;
      for (int i = 0; i < CLIENTS; i++) {
        int seed = i;
        clients.execute(() -> client(server, new Random(seed), until));
      }
      clients.shutdown();
      int maxMb = 0;
      while (!clients.awaitTermination(1, TimeUnit.SECONDS)) {
        maxMb = Math.max(maxMb, server.residentMb());
        if (System.nanoTime() > until + 90_000_000_000L) {
          System.out.println("STUCK clients");
          break;
        }
      }
      Thread.sleep(35_000); // idle workers end after 30 s
      System.out.println("most of the whole process: " + maxMb + " MB");
      System.out.println("after:  " + server.state());
      outcomes.forEach(LoadRun::percentiles);
      idle(server);
    } finally {
      process.destroy();
      process.waitFor();
    }
  }

  /** A server in a process of its own. */
  private record Server(Process process, int port, int metricsPort, Path token) {
    ManagedChannel channel() throws IOException {
      Metadata headers = new Metadata();
      headers.put(
          Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER),
          "Bearer " + Files.readString(token).strip());
      return NettyChannelBuilder.forAddress("127.0.0.1", port)
          .usePlaintext()
          .intercept(MetadataUtils.newAttachHeadersInterceptor(headers))
          .build();
    }

    /** What it holds once what can be collected is. */
    String state() throws IOException, InterruptedException {
      new ProcessBuilder("jcmd", Long.toString(process.pid()), "GC.run")
          .redirectOutput(ProcessBuilder.Redirect.DISCARD)
          .start()
          .waitFor();
      try (InputStream page =
          URI.create("http://127.0.0.1:" + metricsPort + "/metrics").toURL().openStream()) {
        return new String(page.readAllBytes(), StandardCharsets.UTF_8)
            .lines()
            .filter(line -> line.matches("takewright_(calls_running|heap_used|threads).*"))
            .collect(Collectors.joining(", "));
      }
    }

    int residentMb() throws IOException {
      Matcher line =
          RESIDENT.matcher(Files.readString(Path.of("/proc/" + process.pid() + "/status")));
      return line.find() ? Integer.parseInt(line.group(1)) / 1024 : 0;
    }
  }

  private static void percentiles(String what, List<Double> ms) {
    double[] sorted = ms.stream().mapToDouble(Double::doubleValue).sorted().toArray();
    if (sorted.length > 0) {
      System.out.printf(
          "%s: n %d, p50 %.1f ms, p99 %.1f ms, most %.1f ms%n",
          what,
          sorted.length,
          sorted[sorted.length / 2],
          sorted[(int) (0.99 * sorted.length)],
          sorted[sorted.length - 1]);
    }
  }

  /** One client alone: the figure of a server that is otherwise idle. */
  private void idle(Server server) throws Exception {
    ManagedChannel channel = server.channel();
    List<Double> ms = new ArrayList<>();
    for (int i = 0; i < 400; i++) {
      long began = System.nanoTime();
      analyse(channel);
      if (i >= 200) {
        ms.add((System.nanoTime() - began) / 1e6);
      }
    }
    channel.shutdownNow();
    percentiles("2 s sample alone", ms);
  }

  private void client(Server server, Random random, long until) {
    ManagedChannel channel;
    try {
      channel = server.channel();
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    while (System.nanoTime() < until) {
      String what = "?";
      long began = System.nanoTime();
      try {
        switch (random.nextInt(8)) {
          case 0, 1 -> {
            what = "list";
            LibraryServiceGrpc.newBlockingStub(channel)
                .withDeadlineAfter(60, TimeUnit.SECONDS)
                .listBuilds(ListBuildsRequest.getDefaultInstance());
          }
          case 2, 3 -> {
            what = "analyse";
            analyse(channel);
          }
          case 4 -> {
            what = "segment";
            segment(channel, 20, false);
          }
          case 5 -> {
            what = "cancelled";
            segment(channel, random.nextInt(10), true);
          }
          case 6 -> {
            what = "left to its deadline";
            leave(channel);
          }
          default -> {
            what = "garbage";
            byte[] bytes = new byte[random.nextInt(2000)];
            random.nextBytes(bytes);
            try (Socket socket = new Socket(InetAddress.getLoopbackAddress(), server.port())) {
              socket.getOutputStream().write(bytes);
            }
          }
        }
        count(what + " ok", began);
      } catch (Exception e) {
        count(what + " " + Status.fromThrowable(e).getCode(), began);
        waitAsTold(e);
      }
    }
    channel.shutdownNow();
  }

  private synchronized void count(String what, long began) {
    outcomes.computeIfAbsent(what, key -> new ArrayList<>()).add((System.nanoTime() - began) / 1e6);
  }

  private static void waitAsTold(Exception refused) {
    try {
      for (Any detail : StatusProto.fromThrowable(refused).getDetailsList()) {
        if (detail.is(RetryInfo.class)) {
          Thread.sleep(detail.unpack(RetryInfo.class).getRetryDelay().getSeconds() * 1000);
        }
      }
    } catch (InvalidProtocolBufferException | InterruptedException e) {
      throw new AssertionError(e);
    }
  }

  private void analyse(ManagedChannel channel) {
    List<AnalyseResponse> answers =
        Calls.stream(
            OperationsServiceGrpc.newStub(channel).withDeadlineAfter(60, TimeUnit.SECONDS)::analyse,
            Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1)),
            Calls.audio(note));
    if (!answers.get(0).getFacts().getPitch().getNote().equals("A4")) {
      throw new AssertionError(answers);
    }
  }

  private void segment(ManagedChannel channel, int pieces, boolean isCancelled) throws Exception {
    CountDownLatch over = new CountDownLatch(1);
    Throwable[] failure = new Throwable[1];
    Semaphore mayGoOn = new Semaphore(0);
    AtomicReference<ClientCallStreamObserver<SegmentRequest>> call = new AtomicReference<>();
    OperationsServiceGrpc.newStub(channel)
        .withDeadlineAfter(60, TimeUnit.SECONDS)
        .segment(
            new ClientResponseObserver<SegmentRequest, SegmentResponse>() {
              @Override
              public void beforeStart(ClientCallStreamObserver<SegmentRequest> stream) {
                call.set(stream);
                stream.setOnReadyHandler(mayGoOn::release);
              }

              @Override
              public void onNext(SegmentResponse answer) {}

              @Override
              public void onError(Throwable e) {
                failure[0] = e;
                over.countDown();
                mayGoOn.release();
              }

              @Override
              public void onCompleted() {
                over.countDown();
              }
            });
    call.get()
        .onNext(
            SegmentRequest.newBuilder()
                .setConfig(
                    SegmentConfig.newBuilder()
                        .setInput(Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1)))
                .build());
    for (int i = 0; i < pieces && over.getCount() > 0; i++) {
      while (!call.get().isReady() && over.getCount() > 0) {
        if (!mayGoOn.tryAcquire(70, TimeUnit.SECONDS)) {
          throw new AssertionError("a stuck call");
        }
      }
      call.get().onNext(SegmentRequest.newBuilder().setAudio(ByteString.copyFrom(note)).build());
    }
    if (isCancelled) {
      call.get().cancel("no longer wanted", null);
    } else if (over.getCount() > 0) {
      call.get().onCompleted();
    }
    if (!over.await(70, TimeUnit.SECONDS)) {
      throw new AssertionError("a stuck call");
    }
    if (failure[0] != null && !isCancelled) {
      throw Status.fromThrowable(failure[0])
          .asRuntimeException(Status.trailersFromThrowable(failure[0]));
    }
  }

  /** Begins, sends half, and says no more. */
  private void leave(ManagedChannel channel) throws Exception {
    CountDownLatch over = new CountDownLatch(1);
    var call =
        OperationsServiceGrpc.newStub(channel)
            .withDeadlineAfter(500, TimeUnit.MILLISECONDS)
            .analyse(
                new io.grpc.stub.StreamObserver<AnalyseResponse>() {
                  @Override
                  public void onNext(AnalyseResponse answer) {}

                  @Override
                  public void onError(Throwable e) {
                    over.countDown();
                  }

                  @Override
                  public void onCompleted() {
                    over.countDown();
                  }
                });
    call.onNext(Calls.analyse(Calls.pcm(PcmEncoding.PCM_ENCODING_FLOAT32, RATE, 1)));
    call.onNext(
        AnalyseRequest.newBuilder()
            .setAudio(ByteString.copyFrom(note, 0, note.length / 2))
            .build());
    if (!over.await(70, TimeUnit.SECONDS)) {
      throw new AssertionError("a stuck call");
    }
  }
}
