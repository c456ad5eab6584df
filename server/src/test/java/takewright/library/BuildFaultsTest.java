package takewright.library;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.attribute.FileTime;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicBoolean;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.diagnosis.FileProblemException;
import takewright.report.ReportedBuild;
import takewright.testing.HeldTone;
import takewright.testing.Outside;
import takewright.testing.TakeBuilder;

/** Builds of a small invented session that are killed, starved of disk, or robbed of their take. */
class BuildFaultsTest {
  private static final int RATE = 16_000;

  /**
   * Kills in a usual run; {@code -Dtakewright.kills=200} asks for more. Each starts a Java machine.
   */
  private static final int KILLS = Integer.getInteger("takewright.kills", 6);

  /** Longest wait after a sign of progress, so that kills come between two of them as well. */
  private static final int MAX_WAIT_MS = 20;

  @TempDir static Path shared;
  @TempDir Path folder;

  private static Path sheet;
  private static Map<String, byte[]> expected;

  /** Signs of progress of a whole build. */
  private static int signs;

  @BeforeAll
  static void session() throws IOException {
    Path session = Files.createDirectory(shared.resolve("session"));
    sheet = session(session);
    Path library = shared.resolve("library");
    AtomicInteger counted = new AtomicInteger();
    ReportedBuild.run(sheet, library, progress -> counted.incrementAndGet(), () -> false, false);
    signs = counted.get();
    expected = contents(library);
    assertEquals(9, samples(expected).size(), () -> "samples and table: " + expected.keySet());
    assertTrue(expected.containsKey("report/index.html"), () -> "" + expected.keySet());
    assertTrue(expected.containsKey(".takewright/journal.jsonl"), () -> "" + expected.keySet());
  }

  private static Path session(Path folder) throws IOException {
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(1.5);
    for (int midi = 60; midi < 68; midi++) {
      float[] note = HeldTone.crisp(RATE, HeldTone.hz(midi), 0.5).samples();
      take.sound("note", midi, note, -12, -62).pause(0.7);
    }
    WavWriter.write(folder.resolve("take.wav"), take.build(-62), 24, WavChunks.NONE);
    return Files.writeString(
        folder.resolve("session.yaml"),
        """
        library: Invented
        takes:
          - {file: take.wav, articulation: staccato, notes: C4..G4, dynamics: [f]}
        """);
  }

  private static BuildResult build(Path sheet, Path out) throws IOException {
    return ReportedBuild.run(sheet, out, progress -> {}, () -> false, false);
  }

  /** Every file of a library, with its page and what the build notes for itself. */
  private static Map<String, byte[]> contents(Path folder) throws IOException {
    Map<String, byte[]> all = new TreeMap<>();
    if (!Files.isDirectory(folder)) {
      return all;
    }
    try (Stream<Path> files = Files.walk(folder)) {
      for (Path file : files.filter(Files::isRegularFile).toList()) {
        String name = folder.relativize(file).toString().replace('\\', '/');
        all.put(name, content(name, Files.readAllBytes(file)));
      }
    }
    return all;
  }

  /** Without what has no order, when it was, and where the take is, seen from there. */
  private static byte[] content(String name, byte[] bytes) {
    String text = new String(bytes, StandardCharsets.ISO_8859_1);
    return switch (name) {
      case ".takewright/journal.jsonl" ->
          text.lines()
              .sorted()
              .collect(Collectors.joining("\n"))
              .getBytes(StandardCharsets.ISO_8859_1);
      case "report/data/progress.js" ->
          text.replaceAll("\"(startedMs|elapsedS)\":[0-9.]+|/\\* takewright .*", "")
              .getBytes(StandardCharsets.ISO_8859_1);
      case "report/data/index.js", "report/data/plan.js" ->
          text.replaceAll("\"address\":\"[^\"]*\"|/\\* takewright .*", "")
              .getBytes(StandardCharsets.ISO_8859_1);
      default -> bytes;
    };
  }

  /** The samples and the table. */
  private static Map<String, byte[]> samples(Map<String, byte[]> contents) {
    Map<String, byte[]> samples = new TreeMap<>(contents);
    samples
        .keySet()
        .removeIf(n -> n.contains("/") || !n.endsWith(".wav") && !n.equals("index.csv"));
    return samples;
  }

  /** All samples are there, and the table, as they should be. */
  private static void assertSamples(Path folder) throws IOException {
    Map<String, byte[]> actual = samples(contents(folder));
    assertEquals(samples(expected).keySet(), actual.keySet());
    for (String name : actual.keySet()) {
      assertArrayEquals(expected.get(name), actual.get(name), folder + ": " + name);
    }
  }

  /**
   * What is there is as it should be; all of it, where the build has ended, and nothing else.
   * Before, a sample need not know yet how far its keys reach, since that depends on its
   * neighbours.
   */
  private static void assertWhole(Path folder, boolean isDone) throws IOException {
    Map<String, byte[]> actual = contents(folder);
    if (isDone) {
      Set<String> leftOver = new TreeSet<>(actual.keySet());
      leftOver.removeAll(expected.keySet());
      assertEquals(Set.of(), leftOver, "left over");
      assertEquals(expected.keySet(), actual.keySet());
      for (String name : actual.keySet()) {
        assertArrayEquals(expected.get(name), actual.get(name), folder + ": " + name);
      }
      return;
    }
    for (Map.Entry<String, byte[]> sample : samples(actual).entrySet()) {
      byte[] whole = withoutKeys(expected.get(sample.getKey()));
      assertArrayEquals(whole, withoutKeys(sample.getValue()), folder + ": " + sample.getKey());
    }
  }

  /**
   * The same bytes, the seven of a WAV file's chunk "inst" set to 0, and the checksum that holds
   * them, the last four of the file.
   */
  private static byte[] withoutKeys(byte[] wav) {
    byte[] bytes = wav.clone();
    int at = new String(bytes, StandardCharsets.ISO_8859_1).lastIndexOf("inst");
    if (at >= 0) {
      Arrays.fill(bytes, at + 8, at + 15, (byte) 0);
      Arrays.fill(bytes, bytes.length - 4, bytes.length, (byte) 0);
    }
    return bytes;
  }

  private static List<String> java(String... words) {
    List<String> command =
        new ArrayList<>(
            List.of(
                Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                "-XX:TieredStopAtLevel=1",
                "-XX:+UseSerialGC",
                "-Xmx128m",
                "-cp",
                System.getProperty("java.class.path"),
                BuildToKill.class.getName()));
    command.addAll(List.of(words));
    return command;
  }

  /**
   * SIGKILL, or what the system has in its place, at random moments: no file is half there under
   * its name, and the build goes on to the same bytes. Half of the killed builds are gone on with
   * by a process that is killed as well.
   */
  @Test
  void aKilledBuildGoesOnToTheSameBytes() throws Exception {
    Random random = new Random(KILLS);
    int partial = 0;
    for (int kill = 0; kill < KILLS; kill++) {
      Process process =
          new ProcessBuilder(java(sheet.toString(), folder.toString()))
              .redirectError(ProcessBuilder.Redirect.DISCARD)
              .start();
      try (InputStream out = process.getInputStream()) {
        assertEquals('b', out.read(), "the process did not begin");
        // Within the first build or the second, by how far they are: a machine may be slow.
        for (int sign = random.nextInt(2 * signs); sign > 0; ) {
          int said = out.read();
          assertTrue(said >= 0, "the process ended by itself");
          sign -= said == '.' ? 1 : 0;
        }
        Thread.sleep(random.nextInt(MAX_WAIT_MS), random.nextInt(1_000_000));
        process.destroyForcibly();
        assertTrue(process.waitFor(60, TimeUnit.SECONDS));
      }
      boolean goesOnHere = random.nextBoolean() || kill == KILLS - 1;
      try (Stream<Path> libraries = Files.list(folder)) {
        for (Path library : libraries.toList()) {
          boolean isDone = isDone(library);
          partial += isDone ? 0 : 1;
          assertWhole(library, isDone);
          if (!isDone && goesOnHere) {
            build(sheet, library);
            assertWhole(library, true);
          }
        }
      }
    }
    System.out.println(KILLS + " kills, " + partial + " within a build");
    assertTrue(partial > KILLS / 2, "only " + partial + " kills met a build");
  }

  /** Killed when nothing but the page's empty folders and a piece of its first file was there. */
  @Test
  void aPageThatIsOnlyBegunIsNoReasonToRefuse() throws IOException {
    Path report = folder.resolve("library/report");
    Files.createDirectories(report.resolve("data"));
    Files.writeString(report.resolve("store.js.0123abcd.part"), "con");
    build(sheet, report.getParent());
    assertWhole(report.getParent(), true);
  }

  @Test
  void aFolderOfTheNameOfThePageThatIsSomebodyElsesIs() throws IOException {
    Path mine = Files.createDirectories(folder.resolve("library/report")).resolve("letter.txt");
    Files.writeString(mine, "dear player");
    IOException refused =
        assertThrows(IOException.class, () -> build(sheet, folder.resolve("library")));
    assertTrue(refused.getMessage().contains("no build made it"), refused.getMessage());
    assertEquals("dear player", Files.readString(mine));
  }

  /** The last that a build does is to forget the table of the one before. */
  private static boolean isDone(Path library) {
    return Files.exists(library.resolve("index.csv"))
        && Files.notExists(library.resolve(".takewright/before.csv"));
  }

  @Test
  void theFolderOfTheTakesIsNoPlaceForALibrary() throws IOException {
    Path mine = session(Files.createDirectory(folder.resolve("session")));
    IOException refused = assertThrows(IOException.class, () -> build(mine, mine.getParent()));
    assertTrue(refused.getMessage().contains("take.wav"), refused.getMessage());
    assertTrue(refused.getMessage().contains("folder of its own"), refused.getMessage());
    try (Stream<Path> files = Files.list(mine.getParent())) {
      assertEquals(2, files.count(), "the take and its sheet, and nothing else");
    }
  }

  @Test
  void aTakeThatIsTakenAwayStopsTheBuildAndNothingIsLost() throws IOException {
    Path mine = session(Files.createDirectory(folder.resolve("session")));
    Path take = mine.resolveSibling("take.wav");
    Files.setLastModifiedTime(take, FileTime.fromMillis(1_000_000_000_000L));
    Path out = folder.resolve("library");
    Path away = folder.resolve("away.wav");
    FileProblemException stopped =
        assertThrows(
            FileProblemException.class,
            () -> during(BuildStep.WRITE, mine, out, () -> Files.move(take, away)));
    assertTrue(stopped.getMessage().contains("take.wav"), stopped.getMessage());
    assertTrue(stopped.getMessage().contains("put it back"), stopped.getMessage());
    assertWhole(out, false);

    Files.move(away, take);
    assertTrue(build(mine, out).samplesReused() > 0);
    assertSamples(out);
  }

  @Test
  void aTakeThatIsChangedStopsTheBuildAndNothingIsLost() throws IOException {
    Path mine = session(Files.createDirectory(folder.resolve("session")));
    Path take = mine.resolveSibling("take.wav");
    Path out = folder.resolve("library");
    for (BuildStep step : List.of(BuildStep.SEGMENT, BuildStep.WRITE)) {
      Files.setLastModifiedTime(take, FileTime.fromMillis(1_000_000_000_000L));
      FileProblemException stopped =
          assertThrows(
              FileProblemException.class,
              () ->
                  during(
                      step,
                      mine,
                      out,
                      () -> {
                        Path other = Files.copy(take, folder.resolve("other.wav"));
                        Files.move(other, take, StandardCopyOption.REPLACE_EXISTING);
                        Files.setLastModifiedTime(take, FileTime.fromMillis(1_000_000_009_000L));
                      }));
      assertTrue(stopped.getMessage().contains("take.wav"), stopped.getMessage());
      assertTrue(stopped.getMessage().contains("build again"), stopped.getMessage());
      assertFalse(Files.exists(out.resolve("index.csv")), "a table of a build that failed");
    }
    build(mine, out);
    assertSamples(out);
  }

  /** The recorder was started and stopped, or never stopped. The sheet says nothing of times. */
  @Test
  void aTakeWithoutAudioIsSaidToHoldNone() throws IOException {
    Path mine = session(Files.createDirectory(folder.resolve("session")));
    WavWriter.write(
        mine.resolveSibling("take.wav"), Clip.of(RATE, new float[0]), 24, WavChunks.NONE);
    IOException stopped =
        assertThrows(IOException.class, () -> build(mine, folder.resolve("library")));
    assertEquals(
        "session.yaml:3: `file` names take.wav, which holds no audio; export it again",
        stopped.getMessage());
  }

  private interface Doing {
    void run() throws IOException;
  }

  /** Builds, and does something once, when the build first reports a step. */
  private static void during(BuildStep step, Path sheet, Path out, Doing doing) throws IOException {
    AtomicBoolean done = new AtomicBoolean();
    Build.run(
        sheet,
        out,
        progress -> {
          if (progress.step() == step && done.compareAndSet(false, true)) {
            try {
              doing.run();
            } catch (IOException e) {
              throw new java.io.UncheckedIOException(e);
            }
          }
        },
        () -> false);
  }

  /**
   * A file system of 200 KB, then one that may only be read, then one with room: the first two stop
   * the build with what the matter is, and the third goes on. It is mounted in a namespace of its
   * own where one can be had, which a chroot has not.
   */
  @Test
  void aFullOrReadOnlyDiskStopsTheBuildAndNothingIsLost() throws Exception {
    Path disk = Files.createDirectory(folder.resolve("disk"));
    Path out = folder.resolve("library");
    String run = "\"$@\" " + quoted(sheet) + " " + quoted(disk.resolve("library")) + " once\n";
    String script =
        String.join(
            "\n",
            "set -e",
            "trap \"umount " + quoted(disk) + "\" EXIT",
            "mount -t tmpfs -o size=200k none " + quoted(disk),
            run,
            "mount -t tmpfs -o remount,ro none " + quoted(disk),
            run,
            "ls " + quoted(disk.resolve("library")) + " | tr '\\n' ' '; echo",
            "mount -t tmpfs -o remount,rw,size=20m none " + quoted(disk),
            run,
            "cp -r " + quoted(disk.resolve("library")) + " " + quoted(out));
    List<String> command = new ArrayList<>(namespace());
    command.addAll(List.of("sh", "-c", script, "sh"));
    command.addAll(java());
    Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
    process.getOutputStream().close();
    String said;
    try (InputStream in = process.getInputStream()) {
      said = new String(in.readAllBytes(), StandardCharsets.UTF_8);
    }
    assertTrue(process.waitFor(60, TimeUnit.SECONDS));
    if (said.startsWith("mount:")) {
      throw Outside.forbidden("mounting a file system");
    }

    List<String> lines = said.lines().toList();
    assertEquals(4, lines.size(), said);
    assertTrue(lines.get(0).contains("No space left on device"), said);
    assertTrue(lines.get(1).contains("Read-only file system"), said);
    assertFalse(lines.get(2).contains(".part"), "left behind: " + said);
    assertEquals("built", lines.get(3), said);
    assertSamples(out);
  }

  /** What a command begins with that may mount: it leaves no trace, or fails. */
  private static List<String> namespace() throws Exception {
    for (List<String> way : List.of(List.of("unshare", "-m"), List.of("unshare", "-rm"))) {
      List<String> trial = new ArrayList<>(way);
      trial.add("true");
      if (new ProcessBuilder(trial).redirectErrorStream(true).start().waitFor() == 0) {
        return way;
      }
    }
    return List.of("env");
  }

  private static String quoted(Path path) {
    return "'" + path + "'";
  }
}
