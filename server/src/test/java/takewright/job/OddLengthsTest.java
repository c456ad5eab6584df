package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import java.util.TreeSet;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/**
 * Of twelve short notes, C4 to B4, one lasts four times as long as the others and one a fifth. The
 * notes of another dynamic are all as long as the long one.
 */
class OddLengthsTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -60;
  private static final String LONG = "E4 p";
  private static final String SHORT = "G4 p";

  @TempDir static Path folder;
  private static Job job;
  private static double insideLong;
  private static double endOfLong;

  @BeforeAll
  static void record() {
    TakeBuilder take = new TakeBuilder(RATE, 5).pause(2);
    for (int midi = 60; midi < 72; midi++) {
      note(take, midi, 4, -10);
      note(take, midi, midi == 64 ? 4 : midi == 67 ? 0.2 : 1, -20);
      if (midi == 64) {
        TakeBuilder.Event event = take.events().get(take.events().size() - 1);
        insideLong = (double) event.onset() / RATE + 0.3;
        endOfLong = (double) event.onset() / RATE + 1.3;
      }
    }
    job = new Job(folder).take("take.wav", take.build(ROOM_DBFS));
  }

  private static void note(TakeBuilder take, int midi, double seconds, double peakDbfs) {
    float[] x =
        HeldTone.of(RATE, HeldTone.hz(midi), seconds)
            .withPartials(6)
            .rising(0.01)
            .ending(0.05)
            .samples();
    take.sound("note", midi, x, peakDbfs, ROOM_DBFS).pause(1);
  }

  /** The notes that have the flag. */
  private static Set<String> odd(String name, String fixes) {
    job.build(
        name,
        "library: Larkfell\ntakes:\n  - file: take.wav\n    articulation: a\n    notes: C4..B4\n"
            + "    dynamics: [f, p]\n"
            + fixes);
    Set<String> odd = new TreeSet<>();
    for (String[] row : job.rows(name, "status", "kept", "note", "dynamic", "flags")) {
      if (List.of(row[2].split(" ")).contains("odd_length")) {
        odd.add(row[0] + " " + row[1]);
      }
    }
    return odd;
  }

  @Test
  void aNoteFarLongerOrShorterThanThoseAroundItIsFlagged() {
    assertEquals(Set.of(LONG, SHORT), odd("plain", ""));
  }

  @Test
  void whoSetsItsEndOrAcceptsItHasDecided() {
    String ended = String.format(Locale.ROOT, "{at: %.2f, end_s: %.2f}", insideLong, endOfLong);
    String accepted = "{note: G4, dynamic: p, accept: odd_length}";
    assertEquals(Set.of(SHORT), odd("ended", "    fixes: [" + ended + "]\n"));
    assertEquals(Set.of(), odd("decided", "    fixes: [" + ended + ", " + accepted + "]\n"));
  }
}
