package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.library.BuildResult;
import takewright.testing.Ear;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/**
 * Notes that are played again on another day, into a take of their own: at another level, in
 * another room, out of tune. Levels and pitches are those that SciPy finds in what was written.
 */
class PickUpsTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -70;

  /** The pick-up's microphone is this much softer. */
  private static final double SOFTER_DB = 14;

  private static final double SHARP_CENTS = 22;

  private static final String HEAD =
      "library: Larkfell\ntakes:\n"
          + "  - {file: main.wav, articulation: a, notes: A3..C#4, dynamics: [p, f],"
          + " round_robins: 2}\n";

  @TempDir static Path folder;
  private static Job job;
  private static Ear ear;

  @BeforeAll
  static void record() {
    job = new Job(folder);
    ear = new Ear(folder);
    // B3 is left out, and of C4 the second soft one.
    TakeBuilder main = new TakeBuilder(RATE, 5).pause(4);
    for (int midi : new int[] {57, 58, 60, 61}) {
      for (double peak :
          midi == 60 ? new double[] {-24, -14, -14} : new double[] {-24, -24, -14, -14}) {
        play(main, midi, peak, 0);
      }
    }
    job.take("main.wav", main.build(ROOM_DBFS));
    TakeBuilder gap = new TakeBuilder(RATE, 6).pause(4);
    for (double peak : new double[] {-24, -24, -14, -14}) {
      play(gap, 59, peak - SOFTER_DB, SHARP_CENTS);
    }
    play(gap, 60, -24 - SOFTER_DB, SHARP_CENTS);
    job.take("gap.wav", gap.build(ROOM_DBFS));
    TakeBuilder again = new TakeBuilder(RATE, 7).pause(4);
    play(again, 57, -24, 0);
    play(again, 57, -24, 0);
    job.take("again.wav", again.build(ROOM_DBFS));
  }

  private static void play(TakeBuilder take, int midi, double peakDbfs, double cents) {
    double hz = HeldTone.hz(midi + cents / 100);
    float[] x = HeldTone.of(RATE, hz, 1.4).withPartials(6).samples();
    take.sound("note", midi, x, peakDbfs, ROOM_DBFS).pause(1.5);
  }

  private static List<String> cells(String out, String where, String is) {
    return job.rows(out, where, is, "note", "dynamic", "rr", "status").stream()
        .map(row -> String.join(" ", row))
        .sorted()
        .toList();
  }

  private static double rms(Path sample) {
    return ear.y("y = [rms(" + Ear.quoted(sample) + ", 0.3, 1.0)]")[0];
  }

  @Test
  void gapsAreFilledLevelledAndTunedToTheLibraryTheyJoin() {
    job.build("with-gaps", HEAD);
    assertEquals(
        List.of(
            "B3 f 1 missing",
            "B3 f 2 missing",
            "B3 p 1 missing",
            "B3 p 2 missing",
            "C4 p 2 missing"),
        cells("with-gaps", "status", "missing"));

    BuildResult filled =
        job.build(
            "filled",
            HEAD + "  - {file: gap.wav, articulation: a, notes: [B3, C4], fills: gaps}\n");
    assertEquals(0, filled.missing(), filled.warnings().toString());
    assertEquals(
        List.of("B3 f 1 kept", "B3 f 2 kept", "B3 p 1 kept", "B3 p 2 kept", "C4 p 2 kept"),
        cells("filled", "take", "gap.wav"));
    for (String dynamic : List.of("p", "f")) {
      double there = rms(job.sample("filled", "_A#3_" + dynamic + "_rr1"));
      for (String rr : List.of("rr1", "rr2")) {
        Path sample = job.sample("filled", "_B3_" + dynamic + "_" + rr);
        assertEquals(there, rms(sample), 1.2, "joins the level of the library");
        assertEquals(0, ear.cents(sample, HeldTone.hz(59)), 3);
      }
    }
    assertEquals(0, job.rows("filled", "flags", "level_limit", "file").size());
  }

  /** What is there already stays, but for a pick-up that may replace it. */
  @Test
  void anyReplacesWhatOtherTakesHold() {
    String again =
        HEAD + "  - {file: again.wav, articulation: a, notes: A3, dynamics: [p], fills: %s}\n";
    job.build("gaps", String.format(again, "gaps"));
    assertEquals(List.of("A3 p 1 retake", "A3 p 2 retake"), cells("gaps", "take", "again.wav"));
    job.build("any", String.format(again, "any"));
    assertEquals(List.of("A3 p 1 kept", "A3 p 2 kept"), cells("any", "take", "again.wav"));
    assertTrue(
        cells("any", "take", "main.wav").containsAll(List.of("A3 p 1 retake", "A3 p 2 retake")));
    assertEquals(
        job.samples("gaps").stream().map(file -> file.getFileName().toString()).toList(),
        job.samples("any").stream().map(file -> file.getFileName().toString()).toList());

    var refused =
        assertThrows(
            Exception.class,
            () ->
                job.build(
                    "neither", HEAD + again.substring(HEAD.length()).replace(", fills: %s", "")));
    assertTrue(refused.getMessage().contains("fills: any or fills: gaps"), refused.getMessage());
  }

  /** Of the notes that it names, a pick-up need only hold those that are missing. */
  @Test
  void whatWasNotPlayedAgainIsNotMissing() {
    BuildResult result =
        job.build("subset", HEAD + "  - {file: gap.wav, articulation: a, fills: gaps}\n");
    assertEquals(0, result.missing());
    assertEquals(
        Stream.of("B3", "C4").toList(),
        job.rows("subset", "take", "gap.wav", "note").stream()
            .map(row -> row[0])
            .distinct()
            .toList());
  }
}
