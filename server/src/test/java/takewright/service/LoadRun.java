package takewright.service;

import com.google.protobuf.Any;
import com.google.protobuf.ByteString;
import com.google.protobuf.InvalidProtocolBufferException;
import com.google.rpc.RetryInfo;
import io.grpc.ManagedChannel;
import io.grpc.Status;
import io.grpc.protobuf.StatusProto;
import io.grpc.stub.ClientCallStreamObserver;
import io.grpc.stub.ClientResponseObserver;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.Socket;
import java.util.ArrayList;
import java.util.Arrays;
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
import takewright.testing.UntilOver;
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
 * tries again when the server said. Beside them others misbehave ({@link Misbehaviour}): they read
 * nothing, open connections without calls, drop sessions. Prints counts, latencies by what was
 * called and how it ended, and the server's threads, descriptors, memory and calls before, at most
 * and after. The words are the seconds, how many clients misbehave (16), and further options of
 * Java.
 */
final class LoadRun {
  private static final int CLIENTS = 64;

  /** Idle workers end after 30 s. */
  private static final int REST_S = 35;

  /** Calls of one client alone: as many to warm up as are timed. */
  private static final int ALONE = 400;

  private static final int RATE = 48_000;

  /** Held, so that its level stays: it writes a page for each connection of random bytes. */
  private static final Logger NETWORK = Logger.getLogger("io.grpc");

  private final Map<String, List<Double>> outcomes = new TreeMap<>();
  private final byte[] note = Calls.floats(Calls.note(RATE, 440).channel(0));

  public static void main(String[] words) throws Exception {
    // A client that asks for no answers and goes leaks what its own library has received. Without
    // its reports, every leak that is reported is the server's.
    System.setProperty("io.grpc.netty.shaded.io.netty.leakDetection.level", "disabled");
    int misbehaving = words.length > 1 ? Integer.parseInt(words[1]) : 16;
    List<String> options = List.of(words).subList(Math.min(2, words.length), words.length);
    new LoadRun().run(Integer.parseInt(words[0]), CLIENTS, misbehaving, REST_S, ALONE, options);
  }

  /** What a run showed. */
  record Shown(
      LoadedServer.Held before,
      LoadedServer.Held most,
      LoadedServer.Held after,
      String state,
      Map<String, List<Double>> outcomes) {}

  /**
   * Loads a server.
   *
   * @param restS how long it then has to put away what it no longer needs
   * @param alone calls of one client alone before and afterwards, whose second half is timed
   */
  Shown run(
      int seconds, int wellBehaved, int misbehaving, int restS, int alone, List<String> options)
      throws Exception {
    NETWORK.setLevel(Level.SEVERE);
    try (LoadedServer server = LoadedServer.start(options)) {
      idle(server, alone);
      LoadedServer.Held before = server.held();
      System.out.println("before: " + before + ", " + server.state());
      ExecutorService clients = Executors.newFixedThreadPool(wellBehaved + misbehaving);
      long until = System.nanoTime() + seconds * 1_000_000_000L;
      for (int i = 0; i < wellBehaved; i++) {
        int seed = i;
        clients.execute(() -> client(server, new Random(seed), until));
      }
      Misbehaviour others = new Misbehaviour(server::channel, server.port(), half(note));
      for (int i = 0; i < misbehaving; i++) {
        int seed = i;
        clients.execute(() -> misbehave(others, new Random(seed), until));
      }
      clients.shutdown();
      LoadedServer.Held most = before;
      while (!clients.awaitTermination(1, TimeUnit.SECONDS)) {
        most = most.max(server.held());
        if (System.nanoTime() > until + 90_000_000_000L) {
          throw new AssertionError("clients are stuck");
        }
      }
      System.out.println("most:   " + most);
      Thread.sleep(restS * 1000L);
      String state = server.state();
      LoadedServer.Held after = server.held();
      System.out.println("after:  " + after + ", " + state);
      outcomes.forEach(LoadRun::percentiles);
      idle(server, alone);
      return new Shown(before, most, after, state, outcomes);
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
  private void idle(LoadedServer server, int calls) throws Exception {
    ManagedChannel channel = server.channel();
    List<Double> ms = new ArrayList<>();
    for (int i = 0; i < calls; i++) {
      long began = System.nanoTime();
      analyse(channel);
      if (i >= calls / 2) {
        ms.add((System.nanoTime() - began) / 1e6);
      }
    }
    channel.shutdownNow();
    percentiles("2 s sample alone", ms);
  }

  private void client(LoadedServer server, Random random, long until) {
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
        Status status = Status.fromThrowable(e);
        boolean isRefused = status.getCode() == Status.Code.RESOURCE_EXHAUSTED;
        count(what + " " + (isRefused ? status.getCode() : status), began);
        waitAsTold(e);
      }
    }
    channel.shutdownNow();
  }

  private void misbehave(Misbehaviour others, Random random, long until) {
    while (System.nanoTime() < until) {
      long began = System.nanoTime();
      try {
        count("misbehaved: " + others.once(random), began);
      } catch (IOException e) {
        count("misbehaved: " + e, began);
      } catch (InterruptedException e) {
        throw new AssertionError(e);
      }
    }
  }

  private static byte[] half(byte[] twoSeconds) {
    return Arrays.copyOf(twoSeconds, twoSeconds.length / 2);
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
            .analyse(new UntilOver<>(over));
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
