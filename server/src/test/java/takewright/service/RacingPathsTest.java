package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.ManagedChannel;
import io.grpc.Server;
import io.grpc.StatusRuntimeException;
import io.grpc.inprocess.InProcessChannelBuilder;
import io.grpc.inprocess.InProcessServerBuilder;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.util.List;
import java.util.Random;
import java.util.concurrent.locks.LockSupport;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.original.AtomicFile;
import takewright.audio.write.WavWriter;
import takewright.library.BuildOrder;
import takewright.report.ReportedBuild;
import takewright.service.access.GrantedFolders;
import takewright.service.call.Site;
import takewright.service.work.Workers;
import takewright.testing.TakeBuilder;
import takewright.v1.AnalyseResponse;
import takewright.v1.AudioOutput;
import takewright.v1.CheckSheetRequest;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.OperationsServiceGrpc.OperationsServiceStub;
import takewright.v1.RetuneConfig;
import takewright.v1.RetuneRequest;

/**
 * Calls race against a program that swaps a folder of the path for a link to one outside. Twenty
 * thousand tries: {@code -Dtakewright.races=20000}.
 */
class RacingPathsTest {
  private static final int TRIES = Integer.getInteger("takewright.races", 800);
  private static final int BUILDS = TRIES / 20;
  private static final int RATE = 8_000;
  private static final int INSIDE = 800;
  private static final int OUTSIDE = 1600;

  @TempDir Path root;
  private Path folder;
  private Path outside;
  private GrantedFolders folders;
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
    folders = GrantedFolders.of(List.of(granted));
    Site site = new Site(folders, workers);
    String name = "races-" + System.nanoTime();
    server =
        InProcessServerBuilder.forName(name)
            .directExecutor()
            .addService(new OperationsService(site))
            .addService(new LibraryService(site, null)) // no builds
            .build()
            .start();
    channel = InProcessChannelBuilder.forName(name).build();
    stub = OperationsServiceGrpc.newStub(channel);
    swapper = new Thread(this::swap, "swapper");
    swapper.start();
  }

  private static Clip noise(int frames) {
    float[] samples = new float[frames];
    Random random = new Random(1);
    for (int i = 0; i < frames; i++) {
      samples[i] = (float) (0.1 * random.nextGaussian());
    }
    return Clip.of(RATE, samples);
  }

  private void swap() {
    Path aside = folder.resolveSibling("aside");
    Random random = new Random(1);
    try {
      while (!isOver) {
        Files.move(folder, aside, StandardCopyOption.ATOMIC_MOVE);
        puttingAside(() -> Files.createSymbolicLink(folder, outside));
        LockSupport.parkNanos(random.nextInt(100_000));
        Files.delete(folder);
        puttingAside(() -> Files.move(aside, folder));
        // Long enough for some calls to find it in its place.
        LockSupport.parkNanos(random.nextInt(300_000));
      }
    } catch (IOException e) {
      throw new AssertionError(e);
    }
  }

  private interface Placing {
    void run() throws IOException;
  }

  /** A build makes the folder anew when it is away. */
  private void puttingAside(Placing placing) throws IOException {
    while (true) {
      try {
        placing.run();
        return;
      } catch (FileAlreadyExistsException e) {
        Files.move(folder, folder.resolveSibling("made" + System.nanoTime()));
      }
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

  /** The take of a sheet, and the sheet itself. */
  @Test
  void noFileOfASheetIsReadOutside() throws IOException {
    String sheet =
        """
        library: Wickmere
        takes: [{file: %s, articulation: tap, kind: unpitched, round_robins: 2}]
        """;
    Path beside = folder.resolveSibling("beside.yaml");
    Files.writeString(beside, sheet.formatted("takes/x.wav"));
    Path still = folder.resolveSibling("still.wav");
    WavWriter.write(still, noise(INSIDE), 16, WavChunks.NONE);
    // The one outside asks for a take that is granted, so that only its length tells them apart.
    Path other = folder.resolveSibling("other.wav");
    WavWriter.write(other, noise(OUTSIDE), 16, WavChunks.NONE);
    Files.writeString(outside.resolve("sheet.yaml"), sheet.formatted(other));
    addToFolder("sheet.yaml", sheet.formatted(still));
    var library = LibraryServiceGrpc.newBlockingStub(channel);
    int read = 0;
    int escaped = 0;
    for (int i = 0; i < TRIES; i++) {
      Path named = i % 2 == 0 ? beside : folder.resolve("sheet.yaml");
      try {
        double seconds =
            library
                .checkSheet(CheckSheetRequest.newBuilder().setSheetFile(named.toString()).build())
                .getDurationS();
        read += seconds > 0 ? 1 : 0;
        escaped += seconds > 1.5 * INSIDE / RATE ? 1 : 0;
      } catch (StatusRuntimeException refused) {
        // The folder was not there, or a link, just then.
      }
    }
    assertEquals(0, escaped, "of " + read);
    assertTrue(read > 0, "some calls find the folder in its place");
  }

  /** Adds a file to the folder that is swapped, which takes some tries. */
  private void addToFolder(String name, String text) throws IOException {
    while (true) {
      try {
        AtomicFile.replace(folder.resolve(name), text.getBytes(StandardCharsets.UTF_8));
        return;
      } catch (IOException swapped) {
        Thread.onSpinWait();
      }
    }
  }

  @Test
  void noBuildWritesOutside() throws Exception {
    Path take = folder.resolveSibling("tap.wav");
    WavWriter.write(take, new TakeBuilder(RATE, 1).pause(3).build(-60), 16, WavChunks.NONE);
    Path sheet = folder.resolveSibling("taps.yaml");
    Files.writeString(
        sheet,
        """
        library: Wickmere
        takes: [{file: tap.wav, articulation: tap, kind: unpitched, round_robins: 2}]
        """);
    Path library = folder.resolve("library");
    int built = 0;
    for (int i = 0; i < BUILDS; i++) {
      try {
        ReportedBuild.run(
            new BuildOrder(sheet, library, null, null, true, "", folders::ofSheet),
            progress -> {},
            () -> false,
            false);
        built++;
      } catch (IOException | RuntimeException refused) {
        // The folder was not there, or a link, at some time.
      }
    }
    isOver = true;
    swapper.join();
    try (Stream<Path> files = Files.walk(outside)) {
      assertEquals(
          List.of("x.wav"),
          files
              .filter(Files::isRegularFile)
              .map(file -> outside.relativize(file).toString())
              .toList(),
          "after " + built + " builds");
    }
    try (Stream<Path> files = Files.walk(library)) {
      assertTrue(files.anyMatch(Files::isRegularFile), "some builds get into the folder");
    }
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
