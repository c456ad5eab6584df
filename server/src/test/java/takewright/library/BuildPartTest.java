package takewright.library;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.concurrent.CancellationException;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.concurrent.TimeUnit;
import java.util.function.BooleanSupplier;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.sheet.Sheet;
import takewright.sheet.Take;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/** Parts of a build that share a folder, held against a build that ran through alone. */
class BuildPartTest {
  private static final int RATE = 44_100;
  private static final double ROOM_DBFS = -66;

  /** Three articulations, the first in two takes whose levels follow from both. */
  private static final String SHEET =
      "library: L\nlayers: [{name: close}, {name: thin, chain: [{high_pass: 300}]}]\ntakes:\n"
          + "  - {file: a.wav, articulation: plain, notes: [A3, C4]}\n"
          + "  - {file: b.wav, articulation: soft, notes: [A3, C4]}\n"
          + "  - {file: c.wav, articulation: plain, notes: [E4, A4]}\n"
          + "  - {file: d.wav, articulation: dry, notes: [A3, E4]}\n";

  @TempDir static Path folder;

  private static Job job;
  private static Path sheet;
  private static Map<String, byte[]> expected;

  @TempDir Path fresh;
  private Path out;

  @BeforeAll
  static void record() throws IOException {
    job = new Job(folder);
    double[][] hz = {{220, 261.626}, {220, 261.626}, {329.628, 440}, {220, 329.628}};
    for (int t = 0; t < hz.length; t++) {
      TakeBuilder take = new TakeBuilder(RATE, 30 + t).pause(2);
      for (double f : hz[t]) {
        take.sound("note", 0, tone(f), -14 - 2 * t, ROOM_DBFS).pause(1.2);
      }
      job.take((char) ('a' + t) + ".wav", take.build(ROOM_DBFS));
    }
    job.build("alone", SHEET);
    sheet = job.file("alone.yaml");
    expected = Job.contents(job.file("alone"));
    assertEquals(16, expected.keySet().stream().filter(n -> n.endsWith(".wav")).count());
  }

  private static float[] tone(double hz) {
    return HeldTone.of(RATE, hz, 1).withPartials(6).samples();
  }

  @BeforeEach
  void empty() {
    out = fresh.resolve("parts");
  }

  private BuildResult build(BuildPart part, BooleanSupplier cancelled) throws IOException {
    return Build.run(
        BuildOrder.of(sheet, out).part(part), now -> {}, BuildListener.NOBODY, cancelled);
  }

  private BuildResult build(BuildPart part) throws IOException {
    return build(part, () -> false);
  }

  private void assertAsAlone() throws IOException {
    Map<String, byte[]> actual = Job.contents(out);
    assertEquals(expected.keySet(), actual.keySet());
    for (String name : actual.keySet()) {
      assertArrayEquals(expected.get(name), actual.get(name), name);
    }
  }

  @Test
  void partsAtOnceAndABuildThatEndsThemGiveTheBytesOfOneMachine() throws Exception {
    ExecutorService machines = Executors.newFixedThreadPool(3);
    try {
      List<Future<BuildResult>> parts = new ArrayList<>();
      for (int part = 1; part <= 3; part++) {
        BuildPart mine = new BuildPart(part, 3);
        parts.add(machines.submit(() -> build(mine)));
      }
      int samples = 0;
      for (Future<BuildResult> part : parts) {
        samples += part.get().samples();
      }
      assertEquals(16, samples);
    } finally {
      machines.shutdownNow();
    }
    assertFalse(Files.exists(out.resolve("index.csv")), "a part ends no library");
    BuildResult whole = build(null);
    assertEquals(16, whole.samplesReused(), "all samples are those of the parts");
    assertTrue(whole.changes().isFirst());
    assertAsAlone();
    assertEquals(0, build(null).changes().changed().size());
    assertAsAlone();
  }

  @Test
  void aPartThatWasStoppedGoesOnAndOthersStayAsTheyAre() throws IOException {
    build(new BuildPart(2, 2));
    int[] asked = new int[1];
    assertThrows(
        CancellationException.class,
        () ->
            build(
                new BuildPart(1, 2),
                () -> {
                  boolean isLate = contentsOf(out) > 9;
                  asked[0] += isLate ? 1 : 0;
                  return isLate;
                }));
    assertTrue(asked[0] > 0);
    String mine =
        expected.keySet().stream().filter(n -> n.matches(".*plain.*wav")).findFirst().get();
    Path leftOver = Files.write(out.resolve(mine + ".0123abcd.part"), new byte[9]);
    assertTrue(build(new BuildPart(1, 2)).samplesReused() > 0);
    assertFalse(Files.exists(leftOver));
    // Dealt anew it finds what other parts have made.
    assertTrue(build(new BuildPart(1, 1)).samplesReused() == 16);
    build(null);
    assertAsAlone();
  }

  private static long contentsOf(Path library) {
    try (Stream<Path> files = Files.list(library)) {
      return files.filter(file -> file.toString().endsWith(".wav")).count();
    } catch (IOException e) {
      return 0;
    }
  }

  @Test
  void theSamePartTwiceOrAWholeBuildBesideAPartIsRefused() throws Exception {
    CountDownLatch isWorking = new CountDownLatch(1);
    CountDownLatch mayEnd = new CountDownLatch(1);
    ExecutorService machine = Executors.newSingleThreadExecutor();
    try {
      Future<BuildResult> part =
          machine.submit(
              () ->
                  build(
                      new BuildPart(1, 2),
                      () -> {
                        isWorking.countDown();
                        try {
                          return !mayEnd.await(60, TimeUnit.SECONDS);
                        } catch (InterruptedException e) {
                          return true;
                        }
                      }));
      assertTrue(isWorking.await(60, TimeUnit.SECONDS));
      for (BuildPart other : new BuildPart[] {new BuildPart(1, 2), null}) {
        FileProblemException e =
            assertThrows(FileProblemException.class, () -> build(other), "" + other);
        assertEquals(Reason.IN_USE, e.problem().reason());
      }
      assertTrue(build(new BuildPart(2, 2)).samples() > 0, "the other part may run");
      mayEnd.countDown();
      part.get();
    } finally {
      mayEnd.countDown();
      machine.shutdownNow();
    }
    build(null);
    assertAsAlone();
  }

  @Test
  void everyTakeIsInOnePartAndArticulationsStayWhole() throws IOException {
    Sheet read = BuildOrder.of(sheet, out).read().sheet();
    for (int count = 1; count <= 5; count++) {
      Set<Integer> takes = new HashSet<>();
      Map<String, Integer> partOf = new TreeMap<>();
      for (int part = 1; part <= count; part++) {
        for (Take take : new BuildPart(part, count).of(read)) {
          assertTrue(takes.add(take.index()), "twice: " + take.name());
          assertEquals(part, partOf.computeIfAbsent(take.articulation(), new Constant(part)));
        }
      }
      assertEquals(4, takes.size(), count + " parts");
    }
  }

  private record Constant(int value) implements java.util.function.Function<String, Integer> {
    @Override
    public Integer apply(String name) {
      return value;
    }
  }

  @Test
  void partsThatThereCannotBeAreRefused() {
    for (int[] part : new int[][] {{0, 2}, {3, 2}, {1, 0}, {1, 10_001}, {-1, -1}}) {
      ProblemException e =
          assertThrows(ProblemException.class, () -> new BuildPart(part[0], part[1]));
      assertEquals("part", e.problem().field());
    }
    BuildOrder order =
        new BuildOrder(sheet, out, null, fresh.resolve("markers"), false, "", path -> path)
            .part(new BuildPart(1, 2));
    ProblemException e =
        assertThrows(
            ProblemException.class,
            () -> Build.run(order, now -> {}, BuildListener.NOBODY, () -> false));
    assertEquals("markers_folder", e.problem().field());
    assertFalse(Files.exists(out));
  }
}
