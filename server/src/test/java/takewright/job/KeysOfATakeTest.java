package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.library.BuildResult;
import takewright.testing.Ear;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/**
 * Further keys of a take and of its fixes. Of two takes with the same sounds, a held C4, one that
 * dies away and a knock, one has the key; what others' ears hear in the files of both is compared.
 */
class KeysOfATakeTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -60;
  private static final double C4_HZ = 261.6256;

  /** How fast the second note dies away, in dB per second. */
  private static final double DECAY_DB = 40;

  @TempDir static Path folder;
  private static Job job;
  private static Ear ear;
  private static double heldAt;
  private static double knockAt;

  @BeforeAll
  static void record() {
    job = new Job(folder);
    ear = new Ear(folder);
    TakeBuilder take = new TakeBuilder(RATE, 67).pause(3);
    take.sound("note", 60, tone(3, 0), -14, ROOM_DBFS).pause(1.5);
    take.sound("note", 60, tone(3, DECAY_DB), -14, ROOM_DBFS).pause(2);
    take.sound("knock", 0, take.knock(), -20, ROOM_DBFS).pause(2);
    heldAt = (double) take.events().get(0).onset() / RATE;
    knockAt = (double) take.events().get(2).onset() / RATE;
    job.take("a.wav", take.build(ROOM_DBFS)).take("b.wav", take.build(ROOM_DBFS));
  }

  private static float[] tone(double seconds, double decayDb) {
    return HeldTone.of(RATE, C4_HZ, seconds).dyingAway(decayDb).samples();
  }

  /** Builds a take that has keys and one that has not. */
  private static BuildResult build(String name, String ofSheet, String ofTake) {
    String take = "  - {file: %s.wav, articulation: %s, notes: [C4], round_robins: 2%s}\n";
    return job.build(
        name,
        "library: Larkfell\n"
            + ofSheet
            + "takes:\n"
            + take.formatted("a", "with", ofTake)
            + take.formatted("b", "without", ""));
  }

  private static Path sample(String name, String articulation, int rr) {
    return job.sample(name, "_" + articulation + "_", "rr" + rr);
  }

  private static boolean hasLoop(Path file) {
    return ear.loop(file)[0] >= 0;
  }

  private static double seconds(String name, String articulation, int rr) {
    return (double) ear.frames(sample(name, articulation, rr)) / RATE;
  }

  /**
   * A fifth of quarter-comma meantone has 696.578 cents, the third harmonic lowered by a quarter of
   * the syntonic comma; C is 889.735 cents below A then, 10.265 less than in equal temperament.
   */
  @Test
  void theTemperamentOfATakeIsItsOwn() {
    build("meantone", "", ", tuning: {temperament: quarter_comma_meantone}");
    double[] cents =
        ear.cents(
            List.of(sample("meantone", "with", 1), sample("meantone", "without", 1)), C4_HZ, C4_HZ);
    assertEquals(10.265, cents[0], 1);
    assertEquals(0, cents[1], 1);
  }

  @Test
  void aHigherEndCutsATailShorter() {
    build("ends", "", ", cutting: {start_db: 30, end_db: 20}");
    double sooner = seconds("ends", "without", 2) - seconds("ends", "with", 2);
    // 3 dB are usual.
    assertEquals((20 - 3) / DECAY_DB, sooner, 0.15);
  }

  @Test
  void aTakeMayHaveLoopsWhereTheSheetWantsNone() {
    build("loops", "loop: no\n", ", loop: yes");
    assertTrue(hasLoop(sample("loops", "with", 1)));
    assertFalse(hasLoop(sample("loops", "without", 1)));
    build("none", "", ", loop: no");
    assertFalse(hasLoop(sample("none", "with", 1)));
    assertTrue(hasLoop(sample("none", "without", 1)));
  }

  @Test
  void aFixMayAskForALoop() {
    String fix = String.format(Locale.ROOT, "{at: %.2f, loop: yes}", heldAt + 1);
    build("asked", "loop: no\n", ", fixes: [" + fix + "]");
    assertTrue(hasLoop(sample("asked", "with", 1)));
    assertFalse(hasLoop(sample("asked", "with", 2)), "the other round robin");
    assertFalse(hasLoop(sample("asked", "without", 1)));
  }

  /** At 60 beats a minute. */
  @Test
  void theBeatsOfABarSayHowLongItIs() {
    build("four", "", ", tempo_bpm: 60");
    build("three", "", ", tempo_bpm: 60, beats_per_bar: 3");
    assertEquals(1, seconds("four", "with", 2) - seconds("three", "with", 2), 0.02);
    assertEquals(seconds("three", "without", 1), seconds("four", "without", 1), 1e-9);
  }

  /** What is left out stays so, however it sounds; the warning says how it becomes a sample. */
  @Test
  void acceptingAFlagOfWhatIsLeftOutKeepsNothing() {
    String fix = String.format(Locale.ROOT, "{at: %.2f, accept: knock}", knockAt + 0.02);
    BuildResult plain = build("plain", "", "");
    BuildResult built = build("left", "", ", fixes: [" + fix + "]");
    assertEquals(plain.samples(), built.samples());
    String warnings = built.warnings().toString();
    assertTrue(
        warnings.contains("which is left out") && warnings.contains("add `keep: yes`"), warnings);
    assertFalse(plain.warnings().toString().contains("left out"), plain.warnings().toString());
    List<String[]> left = job.rows("left", "take", "a.wav", "status", "flags", "start_s");
    List<String[]> before = job.rows("plain", "take", "a.wav", "status", "flags", "start_s");
    for (int i = 0; i < left.size(); i++) {
      assertEquals(List.of(before.get(i)), List.of(left.get(i)));
    }
  }
}
