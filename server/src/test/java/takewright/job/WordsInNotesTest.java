package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.util.Arrays;
import java.util.HashMap;
import java.util.Iterator;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.diagnosis.FlagPlace;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/**
 * Ten notes, C4 to A4, each played once. A word leads into one, one is spoken into, and a word
 * begins in the tail of one: nobody played them again, so they are samples, and flagged.
 */
class WordsInNotesTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -60;

  @TempDir static Path folder;
  private static Job job;

  /** When each word begins and ends, by the note that it is in. */
  private static final Map<String, double[]> WORDS = new HashMap<>();

  @BeforeAll
  static void record() {
    TakeBuilder take = new TakeBuilder(RATE, 9).pause(2);
    for (int midi = 60; midi < 70; midi++) {
      if (midi == 62) {
        take.sound("talk", 0, word(take, 0.6), -24, ROOM_DBFS).pause(0.04);
      }
      take.sound("note", midi, tone(midi), -12, ROOM_DBFS);
      if (midi == 64) {
        take.back(1.6).sound("talk", 0, word(take, 1), -16, ROOM_DBFS).pause(0.6);
      } else if (midi == 67) {
        take.back(0.03).sound("talk", 0, word(take, 0.8), -30, ROOM_DBFS);
      }
      take.pause(1.2);
    }
    Iterator<String> notes = List.of("D4", "E4", "G4").iterator();
    for (TakeBuilder.Event event : take.events()) {
      if (event.what().equals("talk")) {
        WORDS.put(
            notes.next(),
            new double[] {(double) event.start() / RATE, (double) event.end() / RATE});
      }
    }
    job = new Job(folder).take("take.wav", take.build(ROOM_DBFS));
  }

  /** The beginning of what is said, which ends within 20 ms. */
  private static float[] word(TakeBuilder take, double seconds) {
    float[] said = take.talk();
    float[] word = Arrays.copyOf(said, (int) (seconds * RATE));
    int fade = RATE / 50;
    for (int i = 0; i < fade; i++) {
      word[word.length - 1 - i] *= (float) i / fade;
    }
    return word;
  }

  private static float[] tone(int midi) {
    double hz = 440 * Math.pow(2, (midi - 69) / 12.0);
    double seconds = 2;
    float[] x = new float[(int) (seconds * RATE)];
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE;
      double loud = Math.min(1, t / 0.02) * Math.min(1, (seconds - t) / 0.3);
      for (int k = 1; k <= 8; k++) {
        x[i] += (float) (loud * loud * Math.sin(2 * Math.PI * k * hz * t + k) / k);
      }
    }
    return x;
  }

  private static Set<String> disturbed(String name, String more) {
    job.build(
        name,
        "library: Larkfell\ntakes:\n  - {file: take.wav, articulation: a, notes: C4..A4"
            + more
            + "}\n");
    Set<String> found = new TreeSet<>();
    for (String[] row : job.rows(name, "status", "kept", "note", "flags")) {
      List<String> flags = List.of(row[1].split(" "));
      if (flags.contains("disturbed") || flags.contains("wrong_start")) {
        found.add(row[0]);
      }
    }
    return found;
  }

  /** Where each word is said to be lies in it, but for what the note's own end takes of it. */
  @Test
  void whereTheWordsAreIsSaid() {
    disturbed("places", "");
    for (String[] row : job.rows("places", "status", "kept", "note", "flags_at")) {
      double[] word = WORDS.get(row[0]);
      assertEquals(word == null, row[1].isEmpty(), String.join(" ", row));
      if (word != null) {
        FlagPlace place = FlagPlace.parse(row[1]).get(0);
        assertTrue(
            place.fromS() > word[0] - 0.1 && place.fromS() < word[1] && place.toS() > word[0],
            place + " of " + Arrays.toString(word));
        assertTrue(place.toS() < word[1] + 0.3, place + " of " + Arrays.toString(word));
      }
    }
  }

  @Test
  void theNotesWithWordsInThemAreFlaggedAndNoOthers() {
    assertEquals(Set.of("D4", "E4", "G4"), disturbed("plain", ""));
    assertEquals(
        Set.of("D4", "G4"),
        disturbed("accepted", ", fixes: [{note: E4, dynamic: mf, rr: 1, accept: disturbed}]"));
  }
}
