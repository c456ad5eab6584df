package takewright.library;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.report.ReportedBuild;
import takewright.testing.RecordingFiles;
import takewright.testing.TakeBuilder;

/**
 * What a build leaves on the disk if the power fails, where only what was flushed is there (POSIX,
 * fsync and rename): every name stands for a whole file, and the journal knows of it before.
 */
class PowerLossTest {
  private static final int RATE = 8_000;

  @TempDir Path folder;

  @Test
  void whatHasANameWasFlushedAndItsFolderIs() throws IOException {
    folder = folder.toRealPath();
    TakeBuilder take = new TakeBuilder(RATE, 1).pause(1.5);
    for (int i = 0; i < 3; i++) {
      take.sound("knock", 0, take.knock(), -12, -60).pause(1);
    }
    WavWriter.write(folder.resolve("tap.wav"), take.build(-60), 16, WavChunks.NONE);
    Files.writeString(
        folder.resolve("taps.yaml"),
        """
        library: Wickmere
        takes: [{file: tap.wav, articulation: tap, kind: unpitched, round_robins: 3}]
        """);
    RecordingFiles files = new RecordingFiles();
    Path out = files.path(folder.resolve("out/library"));
    for (int build = 0; build < 2; build++) {
      ReportedBuild.run(
          new BuildOrder(
              files.path(folder.resolve("taps.yaml")), out, null, null, true, "", named -> named),
          progress -> {},
          () -> false,
          false);
      // The second makes all again, and keeps the first one's samples to compare with.
      WavWriter.write(folder.resolve("tap.wav"), take.build(-50), 16, WavChunks.NONE);
    }

    List<String> steps = files.done();
    assertEquals(List.of(), faults(steps), "of " + steps.size() + " steps");
    // Written before they have their names, with their keys, and not once more.
    assertEquals(
        List.of(), steps.stream().filter(step -> step.matches("write .*_rr\\d\\.wav")).toList());
    for (String name :
        List.of("index.csv", "map.csv", "journal.jsonl", "index.html", "moves.json")) {
      assertTrue(
          steps.stream().anyMatch(step -> step.startsWith("rename ") && step.endsWith(" " + name)),
          name);
    }
    assertTrue(steps.stream().anyMatch(step -> step.matches("rename .*_rr1\\.wav")), "samples");
    assertTrue(steps.contains("make out in " + folder.getFileName()), "folders");
  }

  /** What could be lost, step by step. */
  private static List<String> faults(List<String> steps) {
    List<String> faults = new ArrayList<>();
    Set<String> unflushed = new HashSet<>();
    Map<String, String> unflushedNames = new HashMap<>();
    for (int i = 0; i < steps.size(); i++) {
      String[] words = steps.get(i).split(" ");
      switch (words[0]) {
        case "write" -> unflushed.add(words[1]);
        case "force" -> {
          unflushed.remove(words[1]);
          unflushedNames.values().removeIf(words[1]::equals);
        }
        case "rename" -> {
          if (unflushed.contains(words[1])) {
            faults.add(i + ": " + words[3] + " has its name before its content is safe");
          }
        }
        case "make" -> unflushedNames.put(words[1], words[3]);
        default -> faults.add("unknown: " + steps.get(i));
      }
    }
    unflushed.forEach(name -> faults.add(name + " is never flushed"));
    unflushedNames.forEach((name, in) -> faults.add(name + " is not safe in " + in));
    faults.addAll(renamesWithoutFlushedFolder(steps));
    return faults;
  }

  /**
   * Each file's folder is flushed right after, by the same thread; others write meanwhile. For
   * samples that are new it is enough that it is flushed in the end: without its name one is made
   * again.
   */
  private static List<String> renamesWithoutFlushedFolder(List<String> steps) {
    List<String> faults = new ArrayList<>();
    Set<String> names = new HashSet<>();
    Set<String> newSamples = new HashSet<>();
    for (String step : steps) {
      String[] words = step.split(" ");
      if (words[0].equals("rename") && names.add(words[3]) && words[3].matches(".*_rr\\d\\.wav")) {
        newSamples.add(step);
      }
    }
    int named = 0;
    boolean isFlushed = false;
    for (int i = steps.size() - 1; i >= 0; i--) {
      String[] words = steps.get(i).split(" ");
      if (words[0].equals("force") && words[1].indexOf('.') <= 0) {
        named++;
        isFlushed = true;
      } else if (words[0].equals("rename") && newSamples.contains(steps.get(i))) {
        if (!isFlushed) {
          faults.add(steps.get(i) + ": its folder is never flushed");
        }
      } else if (words[0].equals("rename") && --named < 0) {
        faults.add(steps.get(i) + ": its folder is not flushed");
        named = 0;
      }
    }
    return faults;
  }
}
