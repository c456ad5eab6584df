package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.testing.Ear;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/** Notes between two semitones, and files that do not sound as they are called. */
class HalfWayNotesTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -66;
  private static final String SHEET =
      "library: Larkfell\n%stakes:\n  - {file: low.wav, articulation: a, notes: %s%s}\n";

  @TempDir static Path folder;
  private static Job job;

  @BeforeAll
  static void record() {
    job = new Job(folder);
    take("low.wav", 160, 200, 339, 500, 700);
  }

  /** Notes at these cents above MIDI note 36. */
  private static void take(String name, int... cents) {
    TakeBuilder take = new TakeBuilder(RATE, 9).pause(4);
    for (int above : cents) {
      double hz = HeldTone.hz(36 + above / 100.0);
      float[] x = HeldTone.of(RATE, hz, 2.2).withPartials(10).rising(0.03).samples();
      take.sound("note", 36, x, -14, ROOM_DBFS).pause(1.5);
    }
    job.take(name, take.build(ROOM_DBFS));
  }

  private static List<String> rows(String out, String... columns) {
    return job.rows(out, "take", "low.wav", columns).stream()
        .map(row -> String.join(" ", row).strip())
        .toList();
  }

  /** 339 cents above C2 is an E2 of -61 cents, or a D#2 of 39, which nobody asked for. */
  @Test
  void aNoteHalfWayIsTheOneThatTheSheetAsksFor() {
    job.build("low", String.format(SHEET, "", "[D2, E2, F2, G2]", ""));
    assertEquals(
        List.of("D2 retake", "D2 kept", "E2 kept", "F2 kept", "G2 kept"),
        rows("low", "note", "status"));
    // The usual limit is 60 cents.
    assertEquals("out_of_tune", job.rows("low", "note", "E2", "flags").get(0)[0]);
    assertEquals("", job.rows("low", "note", "G2", "flags").get(0)[0]);

    // Where the sheet asks for the other note too, it is the nearer of the two.
    job.build("low-both", String.format(SHEET, "", "[D2, D#2, E2, F2, G2]", ""));
    assertEquals("kept", job.rows("low-both", "note", "D#2", "status").get(0)[0]);
    assertEquals("missing", job.rows("low-both", "note", "E2", "status").get(0)[0]);
  }

  /** It is flagged whatever the limit is, and whether it is tuned or not. */
  @Test
  void whatSoundsOffItsNameIsFlaggedHoweverItIsTreated() {
    job.build(
        "low-wide", String.format(SHEET, "tuning: {limit_cents: 300}\n", "[D2, E2, F2, G2]", ""));
    assertEquals("quarter_tone_off", job.rows("low-wide", "note", "E2", "flags").get(0)[0]);
    double off = new Ear(folder).cents(job.sample("low-wide", "_E2_"), HeldTone.hz(40));
    assertEquals(0, off, 3, "tuned all the same");
    job.build("low-untuned", String.format(SHEET, "", "[D2, E2, F2, G2]", ", tune: no"));
    assertEquals("quarter_tone_off", job.rows("low-untuned", "note", "E2", "flags").get(0)[0]);
  }
}
