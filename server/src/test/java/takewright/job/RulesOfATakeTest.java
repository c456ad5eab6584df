package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.testing.Ear;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/**
 * What the keys of a single take for cutting, cleaning, tuning and levels do: of two takes with the
 * same sounds one has the key, and what others' ears hear in the files of both is compared.
 */
class RulesOfATakeTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -56;
  private static final double A3_HZ = 220;

  /** How far the note is off, in cents. */
  private static final double OFF_CENTS = 20;

  @TempDir static Path folder;
  private static Job job;
  private static Ear ear;

  @BeforeAll
  static void record() {
    job = new Job(folder);
    ear = new Ear(folder);
    TakeBuilder take = new TakeBuilder(RATE, 61).pause(3);
    double[] peaks = {-12, -18};
    for (double peak : peaks) {
      take.sound("note", 57, tone(1.5), peak, ROOM_DBFS).pause(1.5);
    }
    job.take("a.wav", take.build(ROOM_DBFS)).take("b.wav", take.build(ROOM_DBFS));
  }

  private static float[] tone(double seconds) {
    double hz = A3_HZ * Math.pow(2, OFF_CENTS / 1200);
    return HeldTone.of(RATE, hz, seconds).samples();
  }

  /** Builds a take that has a key and one that has not. */
  private static void build(String name, String key) {
    String notes = "notes: [A3], round_robins: 2, lead_in_ms: 400";
    job.build(
        name,
        "library: Larkfell\ntakes:\n  - {file: a.wav, articulation: with, "
            + notes
            + key
            + "}\n  - {file: b.wav, articulation: without, "
            + notes
            + "}\n");
  }

  private static double rms(String name, String articulation, int rr, double from, double to) {
    Path file = job.sample(name, "_" + articulation + "_", "rr" + rr);
    return ear.y("y = [rms(" + Ear.quoted(file) + ", " + from + ", " + to + ")]")[0];
  }

  /** How much louder the first round robin is than the second, in dB. */
  private static double apart(String name, String articulation) {
    return rms(name, articulation, 1, 0.8, 1.6) - rms(name, articulation, 2, 0.8, 1.6);
  }

  @Test
  void theRoomOfATakeIsLoweredByAsMuchAsItSays() {
    build("clean", ", cleaning: {amount_db: 6}");
    build("raw", ", cleaning: no");
    double raw = rms("raw", "with", 1, 0.22, 0.36);
    assertEquals(-6, rms("clean", "with", 1, 0.22, 0.36) - raw, 2);
    assertTrue(
        rms("clean", "without", 1, 0.22, 0.36) - raw < -14, "the other take is cleaned more");
    assertEquals(
        "", job.rows("raw", "articulation", "with", "flags").get(0)[0].replace("no_loop", ""));
  }

  /** Peaks at -12 and -18 dBFS. */
  @Test
  void theLevelsOfATakeMayKeepSomeOfTheirDifferences() {
    build("half", ", levels: {strength: 0.5}");
    build("played", ", levels: {strength: 0}");
    build("off", ", levels: {gain: off}");
    build("held", ", levels: {max_db: 1}");
    assertEquals(3, apart("half", "with"), 0.3);
    assertEquals(6, apart("played", "with"), 0.3);
    assertEquals(6, apart("off", "with"), 0.3);
    assertEquals(4, apart("held", "with"), 0.3);
    for (String name : List.of("half", "played", "off", "held")) {
      assertEquals(0, apart(name, "without"), 0.3, name);
    }
  }

  @Test
  void theGainOfATakeMayStayBesideItsFiles() {
    build("beside", ", levels: {gain: metadata}");
    assertEquals(6, apart("beside", "with"), 0.3);
    List<String[]> gains = job.rows("beside", "articulation", "with", "gain_db");
    assertEquals(6, Double.parseDouble(gains.get(1)[0]) - Double.parseDouble(gains.get(0)[0]), 0.3);
  }

  @Test
  void theTuningOfATakeIsItsOwn() {
    build("tuned", ", tuning: {limit_cents: 10}");
    List<Path> files =
        List.of(job.sample("tuned", "_with_", "rr1"), job.sample("tuned", "_without_", "rr1"));
    double[] cents = ear.cents(files, A3_HZ, A3_HZ);
    assertEquals(OFF_CENTS, cents[0], 1);
    assertEquals(0, cents[1], 1);
  }

  @Test
  void aTakeIsCutAsItSays() {
    job.build(
        "gap",
        """
        library: Larkfell
        takes:
          - {file: a.wav, articulation: with, kind: phrase, cutting: {min_gap_ms: 2000}}
          - {file: b.wav, articulation: without, kind: phrase, round_robins: 2}
        """);
    assertEquals(1, kept("gap", "with"), "one region over the pause");
    assertEquals(2, kept("gap", "without"));
    build("short", ", cutting: {min_length_ms: 3000}");
    assertEquals(0, kept("short", "with"));
    build("start", ", cutting: {start_db: 50}");
    assertEquals(0, kept("start", "with"));
    assertEquals(2, kept("start", "without"));
  }

  private static int kept(String name, String articulation) {
    return (int)
        job.rows(name, "articulation", articulation, "status").stream()
            .filter(row -> row[0].equals("kept"))
            .count();
  }
}
