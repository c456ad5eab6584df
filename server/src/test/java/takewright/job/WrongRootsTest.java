package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.library.BuildOrder;
import takewright.report.ReportedBuild;
import takewright.testing.Ear;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/**
 * A take of ten notes, G3 to E4, built as it is by sheets that call them something else. Whatever
 * the sheet says and however far notes may be tuned: a file whose note was played more than a
 * quarter tone away from its name has a flag that says so, and another ear hears all others in
 * tune.
 */
class WrongRootsTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -66;
  private static final int FIRST = 55;
  private static final int LAST = 64;

  /** The flags that say of a sample that it is not the note of its name. */
  private static final Set<String> OF_THE_NOTE =
      Set.of("octave_unsure", "quarter_tone_off", "out_of_tune", "second_ear_disagrees", "unsure");

  @TempDir static Path folder;
  private static Job job;
  private static Ear ear;
  private static List<TakeBuilder.Event> events;

  @BeforeAll
  static void record() {
    job = new Job(folder);
    ear = new Ear(folder);
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(3);
    for (int midi = FIRST; midi <= LAST; midi++) {
      double hz = hz(midi);
      float[] x = HeldTone.of(RATE, hz, 0.9).withPartials(6).samples();
      take.sound("note", midi, x, -14, ROOM_DBFS).pause(0.9);
    }
    events = take.events();
    job.take("ten.wav", take.build(ROOM_DBFS));
  }

  private static double hz(int midi) {
    return 440 * Math.pow(2, (midi - 69) / 12.0);
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "right | C4 | G3..E4 | 60 | 10 | 0",
        "octave | C3 | G3..E4 | 60 | 10 | 10",
        "octave-tuned | C3 | G3..E4 | 1200 | 10 | 10",
        "octaves | C4 | G5..E6 | 60 | 0 | 0",
        "semitone | C4 | G#3..F4 | 60 | 9 | 0",
        "semitone-tuned | C4 | G#3..F4 | 1200 | 9 | 0",
        "semitone-off | C4 | F#3..D#4 | 60 | 9 | 0",
        "seventh | C4 | F4..D5 | 60 | 8 | 8",
        "seventh-tuned | C4 | F4..D5 | 1200 | 8 | 8",
        "fifth | C4 | D4..B4 | 60 | 3 | 0",
      })
  void noFileContradictsItsNameUnflagged(
      String name, String middleC, String notes, double limitCents, int kept, int wrong)
      throws IOException {
    String sheet =
        "library: Larkfell\nmiddle_c: %s\ntuning: {limit_cents: %s}\ntakes:\n"
                .formatted(middleC, limitCents)
            + "  - {file: ten.wav, articulation: a, notes: "
            + notes
            + "}\n";
    BuildOrder order =
        new BuildOrder(
            Files.writeString(job.file(name + ".yaml"), sheet),
            job.file(name),
            null,
            null,
            true,
            "",
            path -> path);
    ReportedBuild.run(order, progress -> {}, () -> false, false);
    List<String[]> rows = job.rows(name, "status", "kept", "file", "midi", "onset_s", "flags");
    assertEquals(kept, rows.size());
    List<Path> unflagged = new ArrayList<>();
    List<Double> named = new ArrayList<>();
    for (String[] row : rows) {
      int midi = Integer.parseInt(row[1]);
      boolean isSaid = List.of(row[3].split(" ")).stream().anyMatch(OF_THE_NOTE::contains);
      assertTrue(isSaid || played(Double.parseDouble(row[2])) == midi, row[0] + ": " + row[3]);
      if (!isSaid) {
        unflagged.add(job.file(name).resolve(row[0]));
        named.add(hz(midi));
      }
    }
    assertEquals(wrong, rows.size() - unflagged.size(), "flagged");
    double[] hz = named.stream().mapToDouble(value -> value).toArray();
    for (double cents : unflagged.isEmpty() ? new double[0] : ear.cents(unflagged, hz)) {
      assertEquals(0, cents, 5);
    }
  }

  /** The note that was played at a time of the take. */
  private static int played(double onsetS) {
    return events.stream()
        .filter(event -> Math.abs((double) event.onset() / RATE - onsetS) < 0.1)
        .findFirst()
        .orElseThrow()
        .midi();
  }
}
