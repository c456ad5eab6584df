package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.ManagedChannel;
import io.grpc.Server;
import io.grpc.StatusRuntimeException;
import io.grpc.inprocess.InProcessChannelBuilder;
import io.grpc.inprocess.InProcessServerBuilder;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.util.List;
import java.util.concurrent.locks.LockSupport;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.WavWriter;
import takewright.service.access.GrantedFolders;
import takewright.service.call.Site;
import takewright.service.work.Workers;
import takewright.v1.AnalyseResponse;
import takewright.v1.AudioOutput;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.OperationsServiceGrpc.OperationsServiceStub;
import takewright.v1.RetuneConfig;
import takewright.v1.RetuneRequest;

/**
 * Calls race against a program that swaps a folder of the path for a link to one outside. Twenty
 * thousand tries: {@code -Dtakewright.races=20000}.
 */
class RacingPathsTest {
  private static final int TRIES = Integer.getInteger("takewright.races", 400);
  private static final int RATE = 8_000;
  private static final int INSIDE = 800;
  private static final int OUTSIDE = 1600;

  @TempDir Path root;
  private Path folder;
  private Path outside;
  private Workers workers;
  private Server server;
  private ManagedChannel channel;
  private OperationsServiceStub stub;
  private volatile boolean isOver;
  private Thread swapper;

  @BeforeEach
  void start() throws IOException {
    root = root.toRealPath();
    Path granted = Files.createDirectory(root.resolve("granted"));
    folder = Files.createDirectory(granted.resolve("takes"));
    outside = Files.createDirectory(root.resolve("outside"));
    WavWriter.write(folder.resolve("x.wav"), noise(INSIDE), 16, WavChunks.NONE);
    WavWriter.write(outside.resolve("x.wav"), noise(OUTSIDE), 16, WavChunks.NONE);
    workers = new Workers(2);
    String name = "races-" + System.nanoTime();
    server =
        InProcessServerBuilder.forName(name)
            .directExecutor()
            .addService(
                new OperationsService(new Site(GrantedFolders.of(List.of(granted)), workers)))
            .build()
            .start();
    channel = InProcessChannelBuilder.forName(name).build();
    stub = OperationsServiceGrpc.newStub(channel);
    swapper = new Thread(this::swap, "swapper");
    swapper.start();
  }

  private static Clip noise(int frames) {
    float[] samples = new float[frames];
    java.util.Random random = new java.util.Random(1);
    for (int i = 0; i < frames; i++) {
      samples[i] = (float) (0.1 * random.nextGaussian());
    }
    return Clip.of(RATE, samples);
  }

  private void swap() {
    Path aside = folder.resolveSibling("aside");
    try {
      while (!isOver) {
        Files.move(folder, aside, StandardCopyOption.ATOMIC_MOVE);
        Files.createSymbolicLink(folder, outside);
        Thread.onSpinWait();
        Files.delete(folder);
        Files.move(aside, folder, StandardCopyOption.ATOMIC_MOVE);
        // Long enough for some calls to find it in its place.
        LockSupport.parkNanos(500_000);
      }
    } catch (IOException e) {
      throw new AssertionError(e);
    }
  }

  @AfterEach
  void stop() throws InterruptedException {
    isOver = true;
    swapper.join();
    channel.shutdownNow();
    server.shutdownNow();
    workers.close();
  }

  @Test
  void noReadReachesAFileOutside() {
    int read = 0;
    int escaped = 0;
    for (int i = 0; i < TRIES; i++) {
      try {
        List<AnalyseResponse> answers =
            Calls.stream(stub::analyse, Calls.analyse(Calls.file(folder.resolve("x.wav"))));
        read++;
        escaped += answers.get(0).getFacts().getFrames() == INSIDE ? 0 : 1;
      } catch (StatusRuntimeException refused) {
        // The folder was not there, or a link, just then.
      }
    }
    assertEquals(0, escaped, "of " + read);
    assertTrue(read > 0, "some calls find the folder in its place");
  }

  @Test
  void noWriteReachesAFolderOutside() throws Exception {
    Path in = folder.resolveSibling("in.wav");
    WavWriter.write(in, noise(INSIDE), 16, WavChunks.NONE);
    int written = 0;
    for (int i = 0; i < TRIES; i++) {
      try {
        Calls.stream(
            stub::retune,
            RetuneRequest.newBuilder()
                .setConfig(
                    RetuneConfig.newBuilder()
                        .setInput(Calls.file(in))
                        .setOutput(
                            AudioOutput.newBuilder()
                                .setFile(folder.resolve("out" + i + ".wav").toString()))
                        .setCents(1))
                .build());
        written++;
      } catch (StatusRuntimeException refused) {
        // The folder was not there, or a link, just then.
      }
    }
    isOver = true;
    swapper.join();
    try (Stream<Path> files = Files.list(outside)) {
      assertEquals(List.of("x.wav"), files.map(file -> file.getFileName().toString()).toList());
    }
    assertTrue(written > 0, "some calls find the folder in its place");
  }
}
