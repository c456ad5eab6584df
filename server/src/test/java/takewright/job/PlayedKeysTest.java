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
 * Keys of a take that say what was played. Of two takes with the same sounds (a C4 whose pitch
 * falls, a D4 that is 20 cents sharp and a short D4) one has the key; files and table of both are
 * compared. In a third take two plucked notes ring into each other, in a fourth are four taps.
 */
class PlayedKeysTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -62;
  private static final double C4_HZ = 261.6256;
  private static final double D4_HZ = 293.6648;
  private static final double SHARP_CENTS = 20;

  @TempDir static Path folder;
  private static Job job;
  private static Ear ear;

  @BeforeAll
  static void record() {
    job = new Job(folder);
    ear = new Ear(folder);
    TakeBuilder take = new TakeBuilder(RATE, 31).pause(3);
    double sharp = D4_HZ * Math.pow(2, SHARP_CENTS / 1200);
    take.sound("note", 60, tone(C4_HZ, 24, 1.8, 0), -14, ROOM_DBFS).pause(1.5);
    take.sound("note", 62, tone(sharp, 0, 1.8, 0), -14, ROOM_DBFS).pause(1.5);
    take.sound("note", 62, tone(sharp, 0, 0.7, 0), -14, ROOM_DBFS).pause(5);
    job.take("a.wav", take.build(ROOM_DBFS)).take("b.wav", take.build(ROOM_DBFS));
    TakeBuilder ringing = new TakeBuilder(RATE, 32).pause(3);
    ringing.sound("note", 60, tone(C4_HZ, 0, 4, 12), -14, ROOM_DBFS).back(2.5);
    ringing.sound("note", 64, tone(329.6276, 0, 4, 12), -14, ROOM_DBFS).pause(3);
    job.take("c.wav", ringing.build(ROOM_DBFS)).take("d.wav", ringing.build(ROOM_DBFS));
    TakeBuilder taps = new TakeBuilder(RATE, 33).pause(3);
    for (int i = 0; i < 4; i++) {
      taps.sound("tap", 0, taps.knock(), -16, ROOM_DBFS).pause(1.4);
    }
    job.take("e.wav", taps.build(ROOM_DBFS)).take("f.wav", taps.build(ROOM_DBFS));
  }

  /**
   * Eight partials that set in within 10 ms.
   *
   * @param fallCents how far the pitch falls from end to end
   * @param decayDb how fast it dies away, in dB per second
   */
  private static float[] tone(double hz, double fallCents, double seconds, double decayDb) {
    HeldTone tone = HeldTone.of(RATE, hz, seconds).rising(0.01);
    return tone.falling(fallCents).dyingAway(decayDb).samples();
  }

  /** Builds two takes of the same sounds, which have these keys beside file and articulation. */
  private static void build(String name, String files, String with, String without) {
    String take = "  - {file: %s.wav, articulation: %s, %s}\n";
    job.build(
        name,
        "library: Larkfell\ntakes:\n"
            + take.formatted(files.charAt(0), "with", with)
            + take.formatted(files.charAt(1), "without", without));
  }

  /** The cells that are kept, as note, dynamic and round robin, in the order of the take. */
  private static List<String> kept(String name, String articulation) {
    return job.rows(name, "articulation", articulation, "status", "note", "dynamic", "rr").stream()
        .filter(row -> row[0].equals("kept"))
        .map(row -> (row[1] + " " + row[2] + row[3]).trim())
        .toList();
  }

  private static double cents(String name, String articulation, String note, double hz) {
    return ear.cents(job.sample(name, "_" + articulation + "_", note + "_mf_rr1"), hz);
  }

  private static final String NOTES = "notes: [C4, D4], round_robins: 1";

  /** A at 440 Hz is 5/3 of C, of which D is 9/8; or it is 3/2 of D. Whole-number ratios. */
  @Test
  void theRootOfATemperamentIsTheTakesOwn() {
    String just = NOTES + ", tuning: {temperament: just%s}";
    build("root", "ab", just.formatted(", temperament_root: D"), just.formatted(""));
    assertEquals(0, cents("root", "with", "D4", 440 / 1.5), 1.5);
    assertEquals(0, cents("root", "without", "D4", 440 * 3 / 5.0 * 9 / 8), 1.5);
  }

  @Test
  void aTableOfOffsetsIsTheTakesOwn() {
    String table = ", tuning: {offsets_cents: [0, 0, 11, 0, 0, 0, 0, 0, 0, 0, 0, 0]}";
    build("table", "ab", NOTES + table, NOTES);
    assertEquals(11, cents("table", "with", "D4", D4_HZ), 1.5);
    assertEquals(0, cents("table", "without", "D4", D4_HZ), 1.5);
  }

  @Test
  void aDriftIsMadeLevelInTheTakeThatAsksForIt() {
    build("level", "ab", NOTES + ", tuning: {steady_pitch: yes}", NOTES);
    assertEquals(0, fall("level", "with"), 4);
    assertTrue(fall("level", "without") > 12, "it falls by " + fall("level", "without"));
  }

  private static double fall(String name, String articulation) {
    Path file = job.sample(name, "_" + articulation + "_", "C4");
    String course = "c = course(" + Ear.quoted(file) + ", " + C4_HZ + ", 0.25, 1.5)\n";
    return ear.y(course + "y = [c[0] - c[-1]]")[0];
  }

  @Test
  void aPhraseIsNeitherNamedNorTuned() {
    build("kind", "ab", "kind: phrase, round_robins: 3", "notes: [C4, D4], round_robins: 2");
    assertEquals(List.of("mf1", "mf2", "mf3"), kept("kind", "with"));
    assertEquals(SHARP_CENTS, ear.cents(job.sample("kind", "_with_", "rr2"), D4_HZ), 1.5);
    assertEquals(0, cents("kind", "without", "D4", D4_HZ), 1.5);
  }

  @Test
  void notesAndRoundRobinsSayWhatIsKeptAndMissing() {
    build("notes", "ab", "notes: [C4]", "notes: [C4, D4], round_robins: 2");
    assertEquals(List.of("C4 mf1"), kept("notes", "with"));
    assertEquals(List.of("C4 mf1", "D4 mf1", "D4 mf2"), kept("notes", "without"));
    assertEquals(1, job.rows("notes", "status", "missing", "note").size(), "the second C4");
  }

  @Test
  void aDynamicIsCalledAsTheTakeSays() {
    build("dynamics", "ab", NOTES + ", dynamics: [ff]", NOTES);
    assertEquals(List.of("C4 ff1", "D4 ff1"), kept("dynamics", "with"));
    assertEquals(List.of("C4 mf1", "D4 mf1"), kept("dynamics", "without"));
  }

  /** Of taps alone only the order tells. */
  @Test
  void theOrderSaysWhichTapIsWhich() {
    String taps = "kind: unpitched, dynamics: [p, f], round_robins: 2";
    build("order", "ef", taps + ", order: [rr, dynamic]", taps);
    assertEquals(List.of("p1", "f1", "p2", "f2"), kept("order", "with"));
    assertEquals(List.of("p1", "p2", "f1", "f2"), kept("order", "without"));
  }

  /** At 120 beats a minute a bar of two beats lasts a second. */
  @Test
  void barsSayHowLongASampleIs() {
    String bar = "notes: [C4, D4], round_robins: 2, tempo_bpm: 120, beats_per_bar: 2";
    build("bars", "ab", bar + ", bars: 3", bar);
    long[] frames = new long[2];
    for (int i = 0; i < 2; i++) {
      Path file = job.sample("bars", i == 0 ? "_with_" : "_without_", "D4_mf_rr2");
      frames[i] = ear.frames(file);
    }
    assertEquals(2, (double) (frames[0] - frames[1]) / RATE, 0.05);
  }

  @Test
  void notesThatMayRingAreNotFlaggedForIt() {
    build("ring", "cd", "notes: [C4, E4], let_ring: yes", "notes: [C4, E4]");
    assertEquals(List.of("C4 mf1", "E4 mf1"), kept("ring", "with"));
    String with = flags("ring", "with");
    String without = flags("ring", "without");
    assertTrue(!with.contains("rings_on") && !with.contains("in_tail"), with);
    assertTrue(without.contains("rings_on") || without.contains("in_tail"), without);
  }

  private static String flags(String name, String articulation) {
    StringBuilder flags = new StringBuilder();
    job.rows(name, "articulation", articulation, "flags")
        .forEach(row -> flags.append(row[0]).append(' '));
    return flags.toString();
  }
}
