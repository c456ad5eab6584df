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
 * What the keys of a sheet for tuning do, heard in the written files by an autocorrelation of
 * NumPy's transforms. The notes are computed: their detune is known, and they hold still.
 */
class TuningKeysHeardTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -66;

  /** The project's bar for the tuning of files (the tests' README): 1 cent in the median. */
  private static final double CENTS = 1;

  /** Cents by which the notes D4, F#4 and A4 of the take are off. */
  private static final double[] DETUNE = {14, -9, 6};

  private static final double[] EQUAL = {293.6648, 369.9944, 440};
  private static final String TAKE =
      "library: Larkfell\ntakes:\n  - {file: take.wav, articulation: a, notes: [D4, F#4, A4]%s}\n%s";

  @TempDir static Path folder;
  private static Job job;
  private static Ear ear;

  @BeforeAll
  static void record() {
    TakeBuilder take = new TakeBuilder(RATE, 21).pause(2.5);
    for (int i = 0; i < 3; i++) {
      float[] note = tone(EQUAL[i] * Math.pow(2, DETUNE[i] / 1200), 0);
      take.sound("note", 0, note, -14, ROOM_DBFS).pause(1.4);
    }
    job = new Job(folder).take("take.wav", take.build(ROOM_DBFS));
    ear = new Ear(folder);
  }

  /** Eight partials that set in within 20 ms; the pitch falls by so many cents from end to end. */
  private static float[] tone(double hz, double fallCents) {
    return HeldTone.of(RATE, hz, 1.6).falling(fallCents).samples();
  }

  /** How far the built notes are off these frequencies. */
  private static double[] heard(String name, String ofTake, String ofSheet, double... hz) {
    job.build(name, String.format(TAKE, ofTake, ofSheet));
    List<Path> files =
        List.of(job.sample(name, "D4"), job.sample(name, "F#4"), job.sample(name, "A4"));
    return ear.cents(files, hz);
  }

  private static void assertNear(double[] expected, double[] heard) {
    for (int i = 0; i < expected.length; i++) {
      assertEquals(expected[i], heard[i], CENTS, "note " + i);
    }
  }

  /** A4 = 440 Hz (ISO 16:1975) and twelve equal semitones. */
  @Test
  void usuallyNotesAreInEqualTemperament() {
    assertNear(new double[3], heard("equal", "", "", EQUAL));
  }

  @Test
  void anotherA4MovesAllNotesWithIt() {
    double up = 446.0 / 440;
    double[] hz = {EQUAL[0] * up, EQUAL[1] * up, 446};
    assertNear(new double[3], heard("high", "", "tuning_hz: 446\n", hz));
  }

  /**
   * Just intonation is whole-number ratios: over D, F sharp is 5/4 and A 3/2, of which A stays
   * where it was. (Helmholtz, On the Sensations of Tone, gives the ratios.)
   */
  @Test
  void justThirdsAreFiveToFour() {
    double d = 440 / 1.5;
    String keys = "tuning: {temperament: just, temperament_root: D}\n";
    assertNear(new double[3], heard("just", "", keys, d, d * 5 / 4, 440));
  }

  /** Over another root the same notes lie elsewhere: over A, D is 4/3 and F sharp 5/3. */
  @Test
  void theRootOfATemperamentCounts() {
    String keys = "tuning: {temperament: just, temperament_root: A}\n";
    assertNear(new double[3], heard("root", "", keys, 220 * 4.0 / 3, 220 * 5.0 / 3, 440));
  }

  /** Four pure fifths up from D, less two octaves: 81/64. */
  @Test
  void pythagoreanThirdsAreFourFifthsUp() {
    double d = 440 / 1.5;
    String keys = "tuning: {temperament: pythagorean, temperament_root: D}\n";
    assertNear(new double[3], heard("pythagoras", "", keys, d, d * 81 / 64, 440));
  }

  @Test
  void aTableOfOffsetsIsAddedAsItStands() {
    String keys = "tuning: {offsets_cents: [0, 0, 11, 0, 0, 0, -17, 0, 0, 5, 0, 0]}\n";
    assertNear(new double[] {11, -17, 5}, heard("table", "", keys, EQUAL));
  }

  @Test
  void tuneNoLeavesEachNoteAsItWasPlayed() {
    assertNear(DETUNE, heard("untuned", ", tune: no", "", EQUAL));
  }

  @Test
  void tuneInCentsMovesAllNotesByThat() {
    double[] moved = {DETUNE[0] - 12.5, DETUNE[1] - 12.5, DETUNE[2] - 12.5};
    assertNear(moved, heard("moved", ", tune: -12.5", "", EQUAL));
  }

  /**
   * What is tuned up gets shorter, its lead-in too: the room before it fills the gap, or the sample
   * would begin with silence and the room would set in audibly.
   */
  @Test
  void whatIsTunedUpBeginsInTheRoom() {
    job.build("up", String.format(TAKE, ", tune: 200, lead_in_ms: 200", ""));
    for (Path sample : job.samples("up")) {
      // Of 200 ms, 200 cents take 22 ms away, which are 1047 frames. The fade begins with zeros.
      double[] silent =
          ear.y(
              "x, r = sf.read("
                  + Ear.quoted(sample)
                  + ", dtype='int32')\n"
                  + "y = [np.mean(x[700:1000] == 0)]");
      assertEquals(0, silent[0], 0.1, "share of digital silence in " + sample.getFileName());
    }
  }

  @Test
  void whatLiesBeyondTheLimitIsLeftAsItWas() {
    assertNear(new double[] {14, 0, 0}, heard("limit", "", "tuning: {limit_cents: 11}\n", EQUAL));
  }

  /** A fall of 24 cents from end to end: with the key it is gone, without it it stays. */
  @Test
  void aDriftIsMadeLevelOnlyWhereAskedFor() {
    TakeBuilder take = new TakeBuilder(RATE, 22).pause(2.5);
    take.sound("note", 69, tone(440, 24), -14, ROOM_DBFS).pause(2);
    job.take("drift.wav", take.build(ROOM_DBFS));
    String sheet =
        "library: Larkfell\ntakes:\n  - {file: drift.wav, articulation: a, notes: [A4]}\n";
    job.build("drifting", sheet);
    job.build("level", sheet + "tuning: {steady_pitch: yes}\n");
    double[] fall = new double[2];
    for (int i = 0; i < 2; i++) {
      String file = Ear.quoted(job.sample(i == 0 ? "drifting" : "level", "A4"));
      fall[i] = ear.y("c = course(" + file + ", 440, 0.25, 1.4)\ny = [c[0] - c[-1]]")[0];
    }
    assertTrue(fall[0] > 12, "it fell by " + fall[0]);
    assertEquals(0, fall[1], 3, "where it fell by " + fall[0] + " as played");
  }
}
