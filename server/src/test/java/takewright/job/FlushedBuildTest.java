package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.library.Build;
import takewright.testing.Job;
import takewright.testing.RecordingFiles;
import takewright.testing.TakeBuilder;

/**
 * A build on a file system that records what is done: what a loss of power would leave. Each file
 * is flushed before it gets its name, and each line of the journal before the next step (fsync(2)).
 */
class FlushedBuildTest {
  private static final String JOURNAL = "journal.jsonl";

  @TempDir Path folder;

  @Test
  void nothingIsLeftToChance() throws IOException {
    TakeBuilder take = new TakeBuilder(48_000, 51).pause(2.5);
    for (int i = 0; i < 2; i++) {
      float[] note = new float[48_000];
      for (int k = 0; k < note.length; k++) {
        double loud = Math.min(1, k / 500.0) * Math.min(1, (note.length - k) / 4000.0);
        note[k] = (float) (loud * Math.sin(2 * Math.PI * (220 + 27 * i) * k / 48_000));
      }
      take.sound("note", 0, note, -14, -66).pause(1.4);
    }
    new Job(folder).take("take.wav", take.build(-66));
    Path sheet =
        Files.writeString(
            folder.resolve("s.yaml"),
            "library: Larkfell\ntakes:\n  - {file: take.wav, articulation: a, notes: [A3, B3]}\n");
    RecordingFiles files = new RecordingFiles();
    Build.run(sheet, files.path(folder.resolve("out")), progress -> {}, () -> false);

    Map<String, Boolean> flushed = new HashMap<>();
    String journal = "";
    String journalOnDisk = "";
    List<String> wrong = new ArrayList<>();
    int renamed = 0;
    int lines = 0;
    for (String step : files.done()) {
      String[] words = step.split(" ");
      switch (words[0]) {
        case "write" -> {
          if (words[1].equals(JOURNAL)) {
            lines++;
            journal += step;
            if (!flushed.getOrDefault(JOURNAL, true)) {
              wrong.add("two lines of the journal and no flush between");
            }
          }
          flushed.put(words[1], false);
        }
        case "force" -> {
          flushed.put(words[1], true);
          journalOnDisk = words[1].equals(JOURNAL) ? journal : journalOnDisk;
        }
        // PowerLossTest looks at folders.
        case "make" -> {}
        default -> {
          renamed++;
          if (!flushed.getOrDefault(words[1], false)) {
            wrong.add(step + " before it was flushed");
          }
          // Another worker may be writing a line about another sample.
          if (words[3].endsWith(".wav") && !journalOnDisk.contains('"' + words[3] + '"')) {
            wrong.add(step + " before the journal named it");
          }
          flushed.remove(words[1]);
        }
      }
    }
    flushed.forEach(
        (name, done) -> {
          if (!done && !name.equals("lock")) {
            wrong.add(name + " was never flushed");
          }
        });
    assertEquals(List.of(), wrong);
    assertTrue(renamed >= 6 && lines >= 6, renamed + " files, " + lines + " lines");
  }
}
