package takewright.job;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.BadAudioException;
import takewright.audio.Clip;
import takewright.sheet.SheetException;
import takewright.sheet.check.Check;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/**
 * Takes as recorders leave them: split into several files, several microphones in one file, several
 * takes in one file. What is built must be what the plain file gives, byte by byte.
 */
class TakesAsRecordedTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -60;
  private static final int[] NOTES = {57, 59, 60, 62};
  private static final String SHEET =
      "library: Larkfell\ntakes:\n  - {%s, articulation: a, notes: [A3, B3, C4, D4]}\n";

  @TempDir static Path folder;
  private static Job job;
  private static float[] take;

  /** Frame between the second note and the third. */
  private static int middle;

  @BeforeAll
  static void record() {
    job = new Job(folder);
    TakeBuilder builder = new TakeBuilder(RATE, 77).pause(4);
    for (int midi : NOTES) {
      builder.sound("note", midi, tone(HeldTone.hz(midi)), -14, ROOM_DBFS);
      builder.pause(1.5);
      if (midi == 59) {
        middle = builder.length() - RATE / 2;
      }
    }
    take = builder.build(ROOM_DBFS).channel(0);
    for (int i = 0; i < take.length; i++) {
      // On the steps of 24 bits no dither is added, so that copies hold the same.
      take[i] = Math.round(take[i] * (1 << 23)) / (float) (1 << 23);
    }
    job.take("whole.wav", Clip.of(RATE, take));
    job.build("plain", String.format(SHEET, "file: whole.wav"));
  }

  private static float[] tone(double hz) {
    return HeldTone.of(RATE, hz, 1.6).withPartials(6).samples();
  }

  private static Clip part(int from, int to) {
    return Clip.of(RATE, Arrays.copyOfRange(take, from, to));
  }

  private static void assertSameSamples(String name) throws IOException {
    List<Path> expected = job.samples("plain");
    assertEquals(NOTES.length, expected.size());
    for (Path sample : expected) {
      assertArrayEquals(
          Files.readAllBytes(sample),
          Files.readAllBytes(job.file(name).resolve(sample.getFileName())),
          sample.getFileName().toString());
    }
    assertArrayEquals(times("plain"), times(name));
  }

  private static String[] times(String name) {
    return job.rows(name, "status", "kept", "note", "start_s", "onset_s", "end_s").stream()
        .map(row -> String.join(" ", row))
        .toArray(String[]::new);
  }

  /** Recorders begin a new file when one is full, wherever the music is. */
  @Test
  void filesThatContinueEachOtherAreOneTake() throws IOException {
    int inTheThird = middle + RATE;
    job.take("one.wav", part(0, inTheThird));
    job.take("two.wav", part(inTheThird, inTheThird + 12_345));
    job.take("three.wav", part(inTheThird + 12_345, take.length));
    job.build("joined", String.format(SHEET, "file: [one.wav, two.wav, three.wav]"));
    assertSameSamples("joined");
    assertEquals("one.wav", job.rows("joined", "note", "D4", "take").get(0)[0]);

    job.build("first", String.format(SHEET, "file: one.wav"));
    assertEquals(1, job.rows("first", "status", "missing", "note").size(), "without the others");
  }

  @Test
  void aFileThatDoesNotContinueTheFirstIsNamed() throws IOException {
    job.take("start.wav", part(0, middle));
    job.take("other-rate.wav", Clip.of(44_100, new float[44_100]));
    job.take("stereo.wav", Clip.of(RATE, new float[RATE], new float[RATE]));
    String[][] unlike = {
      {"other-rate.wav", "has a sample rate of 44100 Hz instead of 48000"},
      {"stereo.wav", "has 2 channels instead of 1"},
    };
    for (String[] one : unlike) {
      String sheet = String.format(SHEET, "file: [start.wav, " + one[0] + "]");
      var failure = assertThrows(Exception.class, () -> job.build("unlike", sheet));
      BadAudioException bad =
          (BadAudioException) (failure.getCause() == null ? failure : failure.getCause());
      assertTrue(bad.getMessage().contains(one[0] + ": " + one[1]), bad.getMessage());
      String told = Check.apply(job.file("unlike.yaml")).problems().get(0).message();
      assertTrue(told.contains(one[0]) && told.contains(one[1]), told);
    }
  }

  @Test
  void aMicrophoneMayBeSomeChannelsOfAFile() throws IOException {
    float[] far = new float[take.length];
    for (int i = 300; i < far.length; i++) {
      far[i] = take[i - 300];
    }
    float[] nothing = new float[take.length];
    job.take("poly.wav", Clip.of(RATE, nothing, take, far));
    job.build("channel", String.format(SHEET, "file: poly.wav#2"));
    assertSameSamples("channel");

    job.take("far.wav", Clip.of(RATE, far));
    job.build("two-files", String.format(SHEET, "files: {close: whole.wav, far: far.wav}"));
    job.build(
        "two-channels", String.format(SHEET, "files: {close: \"poly.wav#2\", far: poly.wav#3-3}"));
    assertEquals(2 * NOTES.length, job.samples("two-channels").size());
    for (Path sample : job.samples("two-files")) {
      assertArrayEquals(
          Files.readAllBytes(sample),
          Files.readAllBytes(job.file("two-channels").resolve(sample.getFileName())));
    }

    job.build("all", String.format(SHEET, "file: poly.wav"));
    Path sample = job.sample("all", "_A3_");
    assertTrue(Files.size(sample) > 2 * Files.size(job.sample("channel", "_A3_")), "all channels");

    String none = String.format(SHEET, "file: poly.wav#3-4");
    var failure = assertThrows(Exception.class, () -> job.build("none", none));
    assertTrue(failure.getMessage().contains("has 3 channels and no 4"), failure.getMessage());
  }

  /** Times stay those of the file, as a person sees them in an editor. */
  @Test
  void aTakeMayBePartOfAFile() {
    double middleS = (double) middle / RATE;
    job.build(
        "parts",
        "library: Larkfell\ntakes:\n"
            + "  - {file: whole.wav, articulation: a, notes: [A3, B3], between: [0, "
            + middleS
            + "]}\n"
            + "  - {file: whole.wav, articulation: b, notes: [C4, D4], between: ["
            + middleS
            + ", \"10:00\"]}\n");
    assertEquals(0, job.rows("parts", "status", "missing", "note").size());
    assertEquals(0, job.rows("parts", "status", "extra", "note").size());
    List<String[]> whole = job.rows("plain", "status", "kept", "note", "onset_s");
    List<String[]> parts = job.rows("parts", "status", "kept", "note", "onset_s");
    for (int i = 0; i < NOTES.length; i++) {
      assertEquals(whole.get(i)[0], parts.get(i)[0]);
      assertEquals(Double.parseDouble(whole.get(i)[1]), Double.parseDouble(parts.get(i)[1]), 0.003);
    }
    job.build(
        "unparted",
        "library: Larkfell\ntakes:\n  - {file: whole.wav, articulation: a, notes: [A3, B3]}\n");
    assertEquals(2, job.rows("unparted", "status", "extra", "note").size(), "without `between`");
  }

  @Test
  void aPartBehindTheEndOfTheFileIsRefused() {
    String sheet = String.format(SHEET, "file: whole.wav, between: [\"2:00\", \"3:00\"]");
    var failure = assertThrows(Exception.class, () -> job.build("behind", sheet));
    SheetException refused =
        (SheetException) (failure.getCause() == null ? failure : failure.getCause());
    assertTrue(
        refused.getMessage().contains(":3: `between` begins at 120.0 s, but whole.wav is only"),
        refused.getMessage());
  }
}
