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
 * What the keys of a sheet for lengths, levels, cleaning and the files themselves do, by what
 * libsndfile and SciPy find in what was written. Each test turns one key off and on.
 */
class LengthAndLevelKeysTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -58;
  private static final double[] LENGTHS_S = {2.0, 1.5, 1.8};
  private static final String HEAD = "library: Larkfell\ntakes:\n";
  private static final String THREE =
      HEAD + "  - {file: three.wav, articulation: a, notes: [A3], round_robins: 3%s}\n";

  @TempDir static Path folder;
  private static Job job;
  private static Ear ear;

  @BeforeAll
  static void record() {
    job = new Job(folder);
    ear = new Ear(folder);
    TakeBuilder three = new TakeBuilder(RATE, 41).pause(4);
    double[] peaks = {-12, -18, -15};
    for (int i = 0; i < 3; i++) {
      three.sound("note", 57, tone(220, LENGTHS_S[i]), peaks[i], ROOM_DBFS).pause(1.6);
    }
    job.take("three.wav", three.build(ROOM_DBFS));
  }

  private static float[] tone(double hz, double seconds) {
    return HeldTone.of(RATE, hz, seconds).samples();
  }

  /** Lengths of the three round robins, in seconds, by libsndfile. */
  private static double[] lengths(String name) {
    StringBuilder script = new StringBuilder("y = [");
    for (int rr = 1; rr <= 3; rr++) {
      script.append("sf.info(").append(Ear.quoted(job.sample(name, "rr" + rr)));
      script.append(").duration, ");
    }
    return ear.y(script + "]");
  }

  /** RMS of the three round robins from 0.4 to 1.1 s, in dBFS. */
  private static double[] levels(String name) {
    StringBuilder script = new StringBuilder("y = [");
    for (int rr = 1; rr <= 3; rr++) {
      script.append("rms(").append(Ear.quoted(job.sample(name, "rr" + rr))).append(", 0.4, 1.1), ");
    }
    return ear.y(script + "]");
  }

  @Test
  void roundRobinsAreTrimmedToTheShortestOnlyWhereAskedFor() {
    job.build("long", String.format(THREE, ""));
    job.build("trimmed", String.format(THREE, ", trim_round_robins: yes"));
    double[] free = lengths("long");
    for (int i = 0; i < 3; i++) {
      assertEquals(LENGTHS_S[i] - LENGTHS_S[1], free[i] - free[1], 0.05, "as played");
    }
    for (double length : lengths("trimmed")) {
      assertEquals(free[1], length, 0.002);
    }
    // What is cut off sounded still, so it is faded, and over the quarter second that README says.
    String file = Ear.quoted(job.sample("trimmed", "rr1"));
    double[] fade =
        ear.y(
            "x, r = mono("
                + file
                + ")\nn = len(x)\n"
                + "q = lambda a, b: 10 * np.log10(np.mean(x[n - int(a * r):n - int(b * r)] ** 2))\n"
                + "y = [q(.33, .27) - q(.15, .11), q(.33, .27) - q(.04, .02), abs(x[-1])]");
    assertTrue(fade[0] > 2 && fade[0] < 12, "half way it is " + fade[0] + " dB down");
    assertTrue(fade[1] > 15, "near the end " + fade[1] + " dB");
    assertEquals(0, fade[2], 1e-5);
  }

  /**
   * The take begins with a recorder that is not up yet: 20 dB quieter. Named as the room, it lets
   * most of the real room stay.
   */
  @Test
  void theRoomToneThatTheSheetNamesIsWhatIsTakenAway() {
    TakeBuilder take = new TakeBuilder(RATE, 42).pause(8);
    take.sound("note", 57, tone(220, 2), -12, ROOM_DBFS).pause(3);
    takewright.audio.Clip clip = take.build(ROOM_DBFS);
    float[] x = clip.channel(0);
    for (int i = 0; i < 4 * RATE; i++) {
      x[i] *= 0.1f;
    }
    job.take("gated.wav", clip);
    String sheet =
        HEAD + "  - {file: gated.wav, articulation: a, notes: [A3], lead_in_ms: 400%s}\n";
    job.build("quiet-room", String.format(sheet, ", room_tone: [0.2, 3.8]"));
    job.build("real-room", String.format(sheet, ", room_tone: [4.2, 7.5]"));
    double[] floor = new double[2];
    for (int i = 0; i < 2; i++) {
      Path file = job.sample(i == 0 ? "quiet-room" : "real-room", "A3");
      String read = "x, r = mono(" + Ear.quoted(file) + ")\n";
      String onset = "t = np.argmax(np.abs(x) > 0.05) / r\n";
      floor[i] = ear.y(read + onset + "y = [rms(" + Ear.quoted(file) + ", t - 0.17, t - 0.04)]")[0];
    }
    assertTrue(floor[1] < ROOM_DBFS - 15, "the room falls to " + floor[1]);
    assertTrue(floor[0] > floor[1] + 8, "by the wrong room it stays at " + floor[0]);
  }

  @Test
  void levelsOffLeavesEachAsItWasPlayed() {
    job.build("levelled", String.format(THREE, ""));
    job.build("as-played", String.format(THREE, "") + "levels: {gain: off}\n");
    double[] drawn = levels("levelled");
    double[] played = levels("as-played");
    // Peaks at -12, -18 and -15 dBFS.
    assertEquals(6, played[0] - played[1], 0.3);
    assertEquals(3, played[0] - played[2], 0.3);
    assertEquals(0, drawn[0] - drawn[1], 0.5);
    assertEquals(0, drawn[0] - drawn[2], 0.5);
  }

  @Test
  void noSampleIsMovedFurtherThanTheSheetAllows() {
    job.build("as-played-2", String.format(THREE, "") + "levels: {gain: off}\n");
    job.build("held-back", String.format(THREE, "") + "levels: {max_db: 1}\n");
    double[] held = levels("held-back");
    double[] played = levels("as-played-2");
    for (int i = 0; i < 3; i++) {
      assertTrue(Math.abs(held[i] - played[i]) <= 1.1, i + ": " + (held[i] - played[i]));
    }
    assertTrue(held[0] - held[1] > 3, "still apart by " + (held[0] - held[1]));
  }

  @Test
  void filesHaveTheRateAndDepthThatTheSheetAsksFor() {
    job.build("small", String.format(THREE, "") + "output: {sample_rate: 44100, bit_depth: 16}\n");
    double[] info =
        ear.y(
            "i = sf.info("
                + Ear.quoted(job.sample("small", "rr1"))
                + ")\ny = [i.samplerate, i.subtype == 'PCM_16', cents("
                + Ear.quoted(job.sample("small", "rr1"))
                + ", 220)]");
    assertEquals(44_100, info[0]);
    assertEquals(1, info[1]);
    assertEquals(0, info[2], 1, "and it sounds as high as before");
  }

  /**
   * A take that was recorded nearly to full scale: no sample's true peak passes -1 dBTP (EBU R 128
   * gives that for production), though nothing else moves its level.
   */
  @Test
  void noTruePeakPassesTheCeiling() {
    TakeBuilder take = new TakeBuilder(RATE, 43).pause(3);
    take.sound("note", 57, tone(220, 1.5), -0.2, ROOM_DBFS).pause(1.6);
    take.sound("note", 60, tone(261.6256, 1.5), -0.1, ROOM_DBFS).pause(1.6);
    job.take("hot.wav", take.build(ROOM_DBFS));
    String sheet =
        HEAD
            + "  - {file: hot.wav, articulation: a, notes: [A3, C4], tune: no}\nlevels: {gain: %s}\n";
    for (String gain : List.of("off", "file", "metadata")) {
      job.build("hot-" + gain, String.format(sheet, gain));
      for (Path file : job.samples("hot-" + gain)) {
        double peak = ear.y("y = [true_peak(" + Ear.quoted(file) + ")]")[0];
        assertTrue(peak <= -0.95, file + " peaks at " + peak + " dBTP");
      }
    }
  }

  /**
   * Fades lie in what is kept before and after a note, not in the note: shortly after it sets in
   * and shortly before it is let go it is as loud as in between, which this note is all along.
   */
  @Test
  void fadesLieOutsideTheNote() {
    TakeBuilder take = new TakeBuilder(RATE, 45).pause(3);
    // The next note follows at once, so that there is no more behind this one than is needed.
    take.sound("note", 57, tone(220, 2), -12, ROOM_DBFS).pause(0.15);
    take.sound("note", 60, tone(261.6256, 1), -12, ROOM_DBFS).pause(1.6);
    job.take("steady.wav", take.build(ROOM_DBFS));
    job.build(
        "faded",
        HEAD
            + "  - {file: steady.wav, articulation: a, notes: [A3, C4], lead_in_ms: 100, loop: no}\n");
    String file = Ear.quoted(job.sample("faded", "A3"));
    double[] level =
        ear.y(
            String.format(
                "y = [rms(%s, 0.6, 1.4), rms(%1$s, 0.122, 0.15), rms(%1$s, 1.8, 1.98)]", file));
    assertEquals(level[0], level[1], 0.4, "after the attack of 20 ms");
    assertEquals(level[0], level[2], 0.4, "before it is let go");
  }

  /** Names follow the keys that spell them; the keys sound as before. */
  @Test
  void notesAreSpeltAsTheSheetSays() {
    TakeBuilder take = new TakeBuilder(RATE, 44).pause(3);
    take.sound("note", 61, tone(277.1826, 1), -12, ROOM_DBFS).pause(1.6);
    job.take("one.wav", take.build(ROOM_DBFS));
    String sheet = HEAD + "  - {file: one.wav, articulation: a, notes: [%s]}\n%s";
    String[][] cases = {
      {"C#4", "", "C#4"},
      {"C#3", "middle_c: C3\n", "C#3"},
      {"C#5", "middle_c: C5\n", "C#5"},
      {"C#4", "accidentals: flat\n", "Db4"},
      {"C#4", "sharp_sign: s\n", "Cs4"},
      {"C#4", "name: \"{note}-{library}\"\n", "C#4-Larkfell.wav"},
    };
    for (int i = 0; i < cases.length; i++) {
      job.build("spelt" + i, String.format(sheet, cases[i][0], cases[i][1]));
      Path file = job.sample("spelt" + i, cases[i][2]);
      assertEquals(0, ear.cents(file, 277.1826), 1, cases[i][1]);
    }
  }
}
