package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.diagnosis.Reason;
import takewright.library.Build;
import takewright.library.BuildListener;
import takewright.library.BuildOrder;
import takewright.library.BuildResult;
import takewright.report.ReportedBuild;
import takewright.sheet.SheetException;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/**
 * A take of ten notes, G3 to E4, at two dynamics and in two round robins, and plans that say
 * something else of it.
 */
class PlansThatDoNotFitTest {
  private static final int RATE = 16_000;
  private static final double ROOM_DBFS = -66;
  private static final String HEAD = "library: Larkfell\nmiddle_c: %s\ntakes:\n";
  private static final String TAKE =
      "  - file: ten.wav\n    articulation: a\n    notes: %s\n    dynamics: %s\n"
          + "    round_robins: %s\n    order: %s\n";
  private static final String USUAL_ORDER = "[note, dynamic, rr]";
  private static final String RIGHT =
      HEAD.formatted("C4") + TAKE.formatted("G3..E4", "[p, f]", 2, USUAL_ORDER);

  @TempDir static Path folder;
  private static Job job;

  @BeforeAll
  static void record() {
    job = new Job(folder);
    take("ten.wav", 55, 64);
    take("gaps.wav", 57, 60);
    take("half.wav", 55, 60);
  }

  /** The notes from one to another, each twice soft and twice loud. */
  private static void take(String name, int from, int to) {
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(3);
    for (int midi = from; midi <= to; midi++) {
      for (double peak : new double[] {-24, -24, -14, -14}) {
        float[] x = HeldTone.of(RATE, HeldTone.hz(midi), 0.7).withPartials(6).samples();
        take.sound("note", midi, x, peak, ROOM_DBFS).pause(0.9);
      }
    }
    job.take(name, take.build(ROOM_DBFS));
  }

  private static Path write(String name, String sheet) throws IOException {
    return Files.writeString(job.file(name + ".yaml"), sheet);
  }

  private static BuildOrder order(String name, String sheet, boolean asWritten) throws IOException {
    return new BuildOrder(
        write(name, sheet),
        job.file(name).resolve("library"),
        null,
        null,
        asWritten,
        "",
        named -> named);
  }

  private static BuildResult build(String name, String sheet, boolean asWritten)
      throws IOException {
    return Build.run(
        order(name, sheet, asWritten), progress -> {}, BuildListener.NOBODY, () -> false);
  }

  /** With the page, of which nothing must be written either. */
  private static SheetException doubted(String name, String sheet) throws IOException {
    BuildOrder order = order(name, sheet, false);
    return assertThrows(
        SheetException.class, () -> ReportedBuild.run(order, progress -> {}, () -> false, false));
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "octave | C3 | G3..E4 | [p, f] | 2 | [note, dynamic, rr] | 2 | `middle_c` may not be right:"
            + " everything sounds 12 semitones below the sheet (40 of 40 sounds of ten.wav); set"
            + " middle_c: C4 or write notes: G2..E3, either of which would fit",
        "octaves | C4 | G1..E2 | [p, f] | 2 | [note, dynamic, rr] | 6 | `notes` may not be right:"
            + " everything sounds 24 semitones above the sheet (40 of 40 sounds of ten.wav); write"
            + " notes: G3..E4, which would fit",
        "semitone | C4 | F#3..D#4 | [p, f] | 2 | [note, dynamic, rr] | 6 | `notes` may not be right:"
            + " everything sounds 1 semitone above the sheet (40 of 40 sounds of ten.wav); write"
            + " notes: G3..E4, which would fit",
        "range | C4 | G3..C4 | [p, f] | 2 | [note, dynamic, rr] | 6 | `notes` may not be right:"
            + " 16 of 40 sounds of ten.wav are notes that it does not ask for; write notes: G3..E4,"
            + " which would fit",
        "more | C4 | G3..E4 | [p, f] | 1 | [note, dynamic, rr] | 8 | `round_robins` may not be right:"
            + " in ten.wav most notes were played 2 times at each dynamic, where the sheet asks for"
            + " 1; write round_robins: 2",
        "fewer | C4 | G3..E4 | [p, f] | 3 | [note, dynamic, rr] | 8 | `round_robins` may not be right:"
            + " in ten.wav most notes were played 2 times at each dynamic, where the sheet asks for"
            + " 3; write round_robins: 2",
        "dynamics | C4 | G3..E4 | [f, p] | 2 | [note, dynamic, rr] | 7 | `dynamics` may not be right:"
            + " in ten.wav what the sheet calls p is louder than what it calls f; write dynamics:"
            + " [p, f], as they were played",
        "order | C4 | G3..E4 | [p, f] | 2 | [note, rr, dynamic] | 9 | `order`",
      })
  void aPlanThatDoesNotFitIsDoubtedAndNothingWritten(
      String name,
      String middleC,
      String notes,
      String dynamics,
      int roundRobins,
      String order,
      int line,
      String message)
      throws IOException {
    String sheet = HEAD.formatted(middleC) + TAKE.formatted(notes, dynamics, roundRobins, order);
    SheetException doubted = doubted(name, sheet);
    assertEquals(Reason.PLAN_DOUBTED, doubted.problem().reason());
    String told = doubted.getMessage();
    assertTrue(told.startsWith(name + ".yaml:" + line + ": " + message), told);
    assertTrue(told.endsWith(", or build it as it is with `as_written`"), told);
    assertFalse(Files.exists(job.file(name)), "nothing is written");

    BuildResult built = build(name, sheet, true);
    assertTrue(Files.exists(built.indexFile()));
    assertTrue(
        built.warnings().toString().contains("may not be right"), built.warnings().toString());
  }

  /**
   * Of three takes with the wrong middle C, one is a semitone off beside it and one was played more
   * often: one line says all that is to be changed, and once it is changed the sheet fits.
   */
  @Test
  void allThatDoesNotFitIsSaidAtOnce() throws IOException {
    String wrong =
        HEAD.formatted("C3")
            + TAKE.formatted("G3..E4", "[p, f]", 2, USUAL_ORDER)
            + TAKE.formatted("F#3..D#4", "[p, f]", 2, USUAL_ORDER).replace("n: a", "n: b")
            + TAKE.formatted("G3..E4", "[p, f]", 1, USUAL_ORDER).replace("n: a", "n: c");
    SheetException doubted = doubted("all", wrong);
    String sounds = "(40 of 40 sounds of ten.wav)";
    assertEquals(
        "all.yaml:2: `middle_c` may not be right: everything sounds 12 semitones below the sheet "
            + sounds
            + "; set middle_c: C4, with which it would fit; on line 12 `notes` may not be right:"
            + " with that, everything sounds 1 semitone above the sheet "
            + sounds
            + "; write notes: G3..E4, which would fit; on line 20 `round_robins` may not be right: in"
            + " ten.wav most notes were played 2 times at each dynamic, where the sheet asks for 1;"
            + " write round_robins: 2; or build it as it is with `as_written`",
        doubted.getMessage());

    BuildResult asWritten = build("all", wrong, true);
    long doubts =
        asWritten.warnings().stream().filter(w -> w.text().contains("may not be right")).count();
    assertEquals(3, doubts, asWritten.warnings().toString());

    String right =
        wrong
            .replace("C3\n", "C4\n")
            .replace("F#3..D#4", "G3..E4")
            .replace("robins: 1", "robins: 2");
    BuildResult built = build("right-now", right, false);
    assertEquals(0, built.missing());
    assertEquals(120, built.samples());
  }

  /** Of one take only a part was played: that is missing, and the octave is still one line. */
  @Test
  void aTakePlayedInPartLeavesTheOctaveOneLine() throws IOException {
    String wrong =
        HEAD.formatted("C3")
            + TAKE.formatted("G3..E4", "[p, f]", 2, USUAL_ORDER)
            + TAKE.formatted("G3..E4", "[p, f]", 2, USUAL_ORDER).replace("n: a", "n: b")
            + TAKE.formatted("G3..E4", "[p, f]", 2, USUAL_ORDER)
                .replace("n: a", "n: c")
                .replace("ten.wav", "half.wav");
    SheetException doubted = doubted("part", wrong);
    assertEquals(
        "part.yaml:2: `middle_c` may not be right: everything sounds 12 semitones below the sheet (40"
            + " of 40 sounds of ten.wav); set middle_c: C4, with which it would fit, or build it as"
            + " it is with `as_written`",
        doubted.getMessage());
    BuildResult built = build("part-right", wrong.replace("C3\n", "C4\n"), false);
    assertEquals(16, built.missing(), "D flat to E, twice at two dynamics");
  }

  /**
   * Without its highest and lowest notes, a range fits an octave away and a semitone less as well.
   */
  @Test
  void anOctaveIsLikelierThanElevenSemitones() throws IOException {
    String sheet = HEAD.formatted("C3") + TAKE.formatted("F#3..E4", "[p, f]", 2, USUAL_ORDER);
    SheetException doubted = doubted("near", sheet);
    assertTrue(doubted.getMessage().contains("set middle_c: C4"), doubted.getMessage());
  }

  /** What is merely missing, played again or too much is no other plan. */
  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "right | ten.wav | G3..E4",
        "one-too-many | ten.wav | G3..D#4",
        "half-missing | ten.wav | G3..G5",
        "few | gaps.wav | G3..E4",
      })
  void aRightPlanIsNotDoubted(String name, String file, String notes) throws IOException {
    String sheet =
        (HEAD.formatted("C4") + TAKE.formatted(notes, "[p, f]", 2, USUAL_ORDER))
            .replace("ten.wav", file);
    BuildResult built = build(name, sheet, false);
    assertEquals(
        List.of(), built.warnings().stream().filter(w -> w.text().contains("right")).toList());
  }

  /** An older library in the folder stays as it was. */
  @Test
  void anOlderLibraryStays() throws IOException {
    BuildResult built = build("older", RIGHT, false);
    byte[] index = Files.readAllBytes(built.indexFile());
    long samples = built.samples();
    doubted("older", RIGHT.replace("C4\n", "C3\n"));
    assertEquals(new String(index), Files.readString(built.indexFile()));
    assertEquals(samples, build("older", RIGHT, false).samplesReused());
  }
}
