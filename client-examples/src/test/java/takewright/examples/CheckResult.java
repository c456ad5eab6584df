package takewright.examples;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static takewright.examples.TestSounds.A4_HZ;
import static takewright.examples.TestSounds.RATE_HZ;
import static takewright.examples.TestSounds.TONES;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import takewright.v1.ServerLimits;

/** What clients print and write, held against what is known of the sounds. */
final class CheckResult {
  private CheckResult() {}

  /** Every fact, in the contract's order and by its names. */
  static void info(Language.Run run, Path file, Path out) throws IOException {
    List<String> names = new ArrayList<>();
    for (String line : run.out()) {
      names.add(line.substring(0, line.indexOf('\t')));
    }
    List<String> expected = new ArrayList<>(List.of("fact", "version", "granted_folders"));
    ServerLimits.getDescriptor().getFields().forEach(limit -> expected.add(limit.getName()));
    expected.addAll(List.of("input_formats", "output_formats", "http_port", "cores"));
    assertEquals(expected, names.stream().distinct().toList(), run::toString);
    assertEquals("fact\tvalue", run.out().get(0));
    assertTrue(run.fields(1)[1].matches("[0-9]+\\.[0-9]+\\.[0-9]+"), run::toString);
    assertEquals(file.getParent().getParent().toRealPath().toString(), run.fields(2)[1]);
    // The contract: streamed audio comes in messages of at most 1 MiB; files are read as WAV, AIFF
    // and FLAC.
    for (String fact :
        List.of("audio_bytes\t1048576", "input_formats\tflac", "output_formats\twav")) {
      assertTrue(run.out().contains(fact), () -> fact + " is not in " + run);
    }
  }

  static void regions(Language.Run run, Path file, Path out) {
    assertEquals("start_s\tonset_s\tend_s\tnote", run.out().get(0));
    assertEquals(TONES.length, run.out().size() - 1, run::toString);
    for (int i = 0; i < TONES.length; i++) {
      String[] fields = run.fields(i + 1);
      double start = Double.parseDouble(fields[0]);
      double onset = Double.parseDouble(fields[1]);
      double end = Double.parseDouble(fields[2]);
      assertTrue(start <= onset && onset < end, run::toString);
      assertEquals(TONES[i][0], onset, 0.02, "onset, in seconds");
      assertTrue(end >= TONES[i][1] - 0.02, "cut before the end: " + run);
      assertEquals(TONES[i][2] == A4_HZ ? "A4" : "C5", fields[3]);
    }
  }

  static void tone(Language.Run run, Path file, Path out) {
    assertEquals("file\tnote\tcents\tlevel_lufs", run.out().get(0));
    tone(run.fields(1), file.toString());
  }

  static void tone(String[] fields, String file) {
    assertEquals(file, fields[0]);
    assertEquals("A4", fields[1]);
    assertEquals(0, Double.parseDouble(fields[2]), 1.0, "cents off a tone of exactly 440 Hz");
    // ITU-R BS.1770-5: a full-scale sine of about 1 kHz in one channel reads -3.01 LKFS; this one
    // is at -12 dBFS, and the weighting at 440 Hz is within 1 dB of that at 1 kHz.
    assertEquals(-15, Double.parseDouble(fields[3]), 1.5, "LUFS");
  }

  /** The pause between two tones is quieter by far, the tones are as they were. */
  static void denoised(Language.Run run, Path file, Path out) throws IOException {
    assertEquals("floor_before_dbfs\tfloor_after_dbfs\tflags", run.out().get(0));
    double before = Double.parseDouble(run.fields(1)[0]);
    double after = Double.parseDouble(run.fields(1)[1]);
    assertEquals(-72, before, 1.5, "the noise is of a standard deviation of 2.5e-4");
    double[] noisy = TestSounds.read(file);
    double[] clean = TestSounds.read(out);
    assertEquals(noisy.length, clean.length);
    double quieter = TestSounds.rmsDbfs(noisy, 2.6, 3.0) - TestSounds.rmsDbfs(clean, 2.6, 3.0);
    assertTrue(quieter >= 15, "the pause is quieter by " + quieter + " dB");
    assertEquals(before - after, quieter, 6, "as the report says");
    assertEquals(
        TestSounds.rmsDbfs(noisy, 1.1, 2.1), TestSounds.rmsDbfs(clean, 1.1, 2.1), 0.1, "the tone");
  }

  static void inTune(Language.Run run, Path file, Path out) throws IOException {
    assertEquals("note\tmoved_cents\tflags", run.out().get(0));
    assertEquals("A4", run.fields(1)[0]);
    assertEquals(0, Double.parseDouble(run.fields(1)[1]), 1);
    assertEquals(A4_HZ, TestSounds.hertz(TestSounds.read(out), 0.8, 2.2), 0.3);
  }

  static void aSemitoneLower(Language.Run run, Path file, Path out) throws IOException {
    assertEquals(-100, Double.parseDouble(run.fields(1)[1]), 1e-9);
    double[] lower = TestSounds.read(out);
    double ratio = Math.pow(2, 1 / 12.0);
    assertEquals(A4_HZ / ratio, TestSounds.hertz(lower, 0.8, 2.2), 0.3);
    assertEquals(3 * ratio, (double) lower.length / RATE_HZ, 0.01, "seconds");
  }

  static void inARoom(Language.Run run, Path file, Path out) throws IOException {
    assertEquals("frames\tgain_db", run.out().get(0));
    double[] room = TestSounds.read(out);
    assertEquals(room.length, Long.parseLong(run.fields(1)[0]));
    assertTrue(room.length > 3 * RATE_HZ, "it ends when the room has died away");
    assertTrue(TestSounds.rmsDbfs(room, 2.55, 2.65) > -50, "the room rings on");
  }
}
