package takewright.audit;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.FileSystemException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audit.RenamePlan.Rename;
import takewright.diagnosis.FileProblemException;

class RenamePlanTest {
  @TempDir Path root;
  private Path folder;
  private Path undo;

  @BeforeEach
  void fill() throws IOException {
    folder = Files.createDirectory(root.resolve("samples"));
    undo = root.resolve("undo.csv");
    for (String name : List.of("A3.wav", "C4.wav", "D4.wav", "E4.wav")) {
      Files.writeString(folder.resolve(name), name);
    }
  }

  /** What lies under each name was once under the name it holds as its text. */
  private Map<String, String> contents() throws IOException {
    Map<String, String> all = new TreeMap<>();
    try (Stream<Path> files = Files.list(folder)) {
      for (Path file : files.toList()) {
        all.put(file.getFileName().toString(), Files.readString(file));
      }
    }
    return all;
  }

  private static List<Rename> plan(String... names) {
    List<Rename> plan = new ArrayList<>();
    for (int i = 0; i < names.length; i += 2) {
      plan.add(new Rename(names[i], names[i + 1], ".via-" + i));
    }
    return plan;
  }

  private static final List<Rename> RING =
      plan("A3.wav", "C4.wav", "C4.wav", "D4.wav", "D4.wav", "A3.wav");

  private static final Map<String, String> TURNED =
      Map.of("A3.wav", "D4.wav", "C4.wav", "A3.wav", "D4.wav", "C4.wav", "E4.wav", "E4.wav");

  @Test
  void ringsAndSwapsWorkAndTheUndoFilePutsAllBack() throws IOException {
    Map<String, String> before = contents();
    Path file = root.resolve("plan.csv");
    RenamePlan.write(file, RING);
    assertEquals(RING, RenamePlan.read(file));
    assertEquals(3, new Renaming(folder, RenamePlan.read(file)).carryOut(undo));
    assertEquals(TURNED, contents());
    new Renaming(folder, RenamePlan.read(undo)).carryOut(root.resolve("redo.csv"));
    assertEquals(before, contents());
  }

  /** Carries out the first steps of the plan in RING, which has six. */
  private void turn(int steps) throws IOException {
    for (int i = 0; i < steps; i++) {
      Rename rename = RING.get(i % 3);
      String from = i < 3 ? rename.from() : rename.via();
      Files.move(folder.resolve(from), folder.resolve(i < 3 ? rename.via() : rename.to()));
    }
  }

  /** Wherever a run was cut off, its undo plan takes it back. */
  @Test
  void anInterruptedRunIsTakenBack() throws IOException {
    Map<String, String> before = contents();
    new Renaming(folder, RING).carryOut(undo);
    List<Rename> back = RenamePlan.read(undo);
    new Renaming(folder, back).carryOut(root.resolve("redo.csv"));
    for (int steps = 1; steps <= 6; steps++) {
      turn(steps);
      new Renaming(folder, back).carryOut(root.resolve("redo.csv"));
      assertEquals(before, contents(), "after " + steps + " steps");
    }
  }

  /** A disk that can only be read once four of six steps are done. */
  @Test
  void whatCannotBePutBackIsSaidTogetherWithItsCause() throws IOException {
    Map<String, String> before = contents();
    AtomicInteger steps = new AtomicInteger();
    FileProblemException half =
        assertThrows(
            FileProblemException.class,
            () ->
                new Renaming(
                        folder,
                        RING,
                        (from, to) -> {
                          if (steps.incrementAndGet() > 4) {
                            String why =
                                steps.get() == 5 ? "Input/output error" : "Read-only file system";
                            throw new FileSystemException(from.toString(), null, why);
                          }
                          Files.move(from, to);
                        })
                    .carryOut(undo));
    assertEquals(
        folder
            + ": is half renamed ("
            + folder.resolve(".via-2")
            + " cannot be read or written, as its disk fails), and the old names could not be put"
            + " back ("
            + folder.resolve("C4.wav")
            + " lies on a disk that can only be read); mend that, then give "
            + undo
            + " as `plan_file`, which puts them back",
        half.getMessage());
    assertEquals(1, half.getSuppressed().length);
    new Renaming(folder, RenamePlan.read(undo)).carryOut(root.resolve("redo.csv"));
    assertEquals(before, contents());
  }

  /** Wherever a run was cut off, the same plan finishes it. */
  @Test
  void anInterruptedRunIsFinished() throws IOException {
    for (int steps = 0; steps <= 6; steps++) {
      turn(steps);
      if (steps < 6) {
        new Renaming(folder, RING).carryOut(undo);
      }
      assertEquals(TURNED, contents(), "after " + steps + " steps");
      new Renaming(folder, RenamePlan.read(undo)).carryOut(root.resolve("redo.csv"));
    }
  }

  @Test
  void caseAloneCanChange() throws IOException {
    new Renaming(folder, plan("A3.wav", "a3.wav")).carryOut(undo);
    assertEquals("A3.wav", contents().get("a3.wav"));
  }

  @Test
  void nothingIsWrittenOver() throws IOException {
    Map<String, String> before = contents();
    assertThrows(
        FileProblemException.class,
        () -> new Renaming(folder, plan("A3.wav", "C4.wav")).carryOut(undo));
    // On a file system that ignores case this is the same file.
    assertThrows(
        FileProblemException.class,
        () -> new Renaming(folder, plan("A3.wav", "c4.WAV")).carryOut(undo));
    assertThrows(
        FileProblemException.class,
        () -> new Renaming(folder, plan("A3.wav", "x.wav", "C4.wav", "X.wav")).carryOut(undo));
    assertThrows(
        FileProblemException.class,
        () -> new Renaming(folder, plan("A3.wav", "x.wav", "B9.wav", "y.wav")).carryOut(undo));
    assertEquals(before, contents());
    assertFalse(Files.exists(undo));
  }

  @Test
  void aPlanDoesNotLeadOutOfTheFolder() throws IOException {
    Files.createDirectory(folder.resolve("in"));
    Files.createSymbolicLink(folder.resolve("link"), root);
    Files.writeString(root.resolve("other.wav"), "other");
    for (String[] row :
        new String[][] {
          {"A3.wav", "../A3.wav"},
          {"A3.wav", "in/A3.wav"},
          {"../other.wav", "../mine.wav"},
          {"link/other.wav", "link/mine.wav"},
          {root.resolve("other.wav").toString(), root.resolve("mine.wav").toString()},
          {"A3.wav", ""},
          {".", "x"}
        }) {
      FileProblemException refused =
          assertThrows(
              FileProblemException.class,
              () ->
                  new Renaming(
                          folder,
                          List.of(
                              new Rename(row[0], row[1], row[0].replaceAll("[^/]*$", "") + ".via")))
                      .carryOut(undo),
              row[0] + " to " + row[1]);
      assertTrue(refused.getMessage().contains("folder"), refused.getMessage());
    }
    assertTrue(Files.exists(root.resolve("other.wav")));
  }

  @Test
  void whatIsNoPlanIsRefusedByLine() throws IOException {
    Path file = root.resolve("plan.csv");
    Files.writeString(file, "old,new\na,b\n");
    assertTrue(
        assertThrows(FileProblemException.class, () -> RenamePlan.read(file))
            .getMessage()
            .startsWith("plan.csv:1: "));
    Files.writeString(file, "from,to,via\na,b\n");
    assertTrue(
        assertThrows(FileProblemException.class, () -> RenamePlan.read(file))
            .getMessage()
            .startsWith("plan.csv:2: "));
  }
}
