package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.Clip;
import takewright.retune.Retune;
import takewright.retune.RetuneSettings;
import takewright.testing.Ear;
import takewright.testing.Job;
import takewright.testing.Recordings;
import takewright.testing.TakeBuilder;

/**
 * Staccatos of a quarter of a second, made of the recordings' attacks and played off by up to 18
 * cents: how far the files are off, heard by NumPy, and how certain the program says it is. The
 * bars are the project's: 3 cents in the median and 10 at 95 %.
 */
class ShortNotesTest {
  private static final int RATE = 44_100;
  private static final double ROOM_DBFS = -62;

  @TempDir Path folder;

  /** The attack of a recording, which dies away with a time constant of 0.12 s. */
  private static float[] staccato(Recordings.Note note, SplittableRandom random) {
    double seconds = 0.18 + 0.17 * random.nextDouble();
    double cents = 36 * random.nextDouble() - 18;
    Clip clip = Retune.apply(note.read(seconds), new RetuneSettings(cents, RATE));
    float[] x = clip.mono().clone();
    for (int i = 0; i < x.length; i++) {
      x[i] *= (float) Math.exp(-i / (0.12 * RATE));
    }
    return TakeBuilder.faded(Clip.of(RATE, x));
  }

  @ParameterizedTest
  @ValueSource(strings = {"violin", "contrabass"})
  void areInTuneAsFarAsTheirUncertaintySays(String instrument) {
    List<Recordings.Note> notes = new ArrayList<>(Recordings.of(instrument));
    notes.sort((a, b) -> Integer.compare(a.midi(), b.midi()));
    SplittableRandom random = new SplittableRandom(instrument.hashCode());
    TakeBuilder take = new TakeBuilder(RATE, 7).pause(3);
    for (Recordings.Note note : notes) {
      for (int rr = 0; rr < 2; rr++) {
        take.sound("note", note.midi(), staccato(note, random), -8, ROOM_DBFS);
        take.pause(1.2 + random.nextDouble());
      }
    }
    Job job = new Job(folder).take("take.wav", take.pause(1).build(ROOM_DBFS));
    String listed = Recordings.spelled(notes);
    job.build(
        "out",
        "library: Larkfell\ntakes:\n  - {file: take.wav, articulation: staccato, round_robins: 2,"
            + " notes: ["
            + listed
            + "]}\n");
    List<String[]> kept = job.rows("out", "status", "kept", "midi", "file", "cents_uncertainty");
    assertEquals(2 * notes.size(), kept.size());
    List<Path> files = new ArrayList<>();
    double[] hz = new double[kept.size()];
    for (String[] row : kept) {
      hz[files.size()] = 440 * Math.pow(2, (Integer.parseInt(row[0]) - 69) / 12.0);
      files.add(job.file("out").resolve(row[1]));
    }
    StringBuilder script = new StringBuilder("y = [");
    for (int i = 0; i < hz.length; i++) {
      script.append("short_cents(").append(Ear.quoted(files.get(i))).append(", ");
      script.append(hz[i]).append("), ");
    }
    double[] heard = new Ear(folder).y(script + "]");
    int certain = 0;
    double[] off = new double[heard.length];
    int count = 0;
    for (int i = 0; i < heard.length; i++) {
      // A low note is over before the ear has a window of it.
      if (heard[i] > -999) {
        off[count] = Math.abs(heard[i]);
        certain += off[count] <= 2 * Double.parseDouble(kept.get(i)[2]) ? 1 : 0;
        count++;
      }
    }
    off = Arrays.copyOf(off, count);
    Arrays.sort(off);
    assertTrue(count >= 0.8 * heard.length, count + " notes heard");
    String found = Arrays.toString(off);
    assertTrue(off[off.length / 2] <= 3, found);
    assertTrue(off[(int) (0.95 * (off.length - 1))] <= 10, found);
    // Of normal values 95 of 100 lie within two standard deviations; the ear's windows are others.
    assertTrue(certain >= 0.8 * off.length, certain + " within twice what is stated: " + found);
  }
}
