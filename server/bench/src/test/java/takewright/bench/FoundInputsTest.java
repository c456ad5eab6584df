package takewright.bench;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Assertions;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.TestFactory;
import takewright.bench.fuzz.Target;

/** What fuzzing begins with and what it has found, once more: nothing breaks or hangs. */
class FoundInputsTest {
  /** For one input of a few kilobytes, on a machine that does other things as well. */
  private static final Duration SOON = Duration.ofSeconds(60);

  @TestFactory
  List<DynamicTest> nothingBreaks() throws Exception {
    List<DynamicTest> tests = new ArrayList<>();
    for (Target target : Target.values()) {
      List<byte[]> seeds = target.seeds();
      for (int i = 0; i < seeds.size(); i++) {
        byte[] seed = seeds.get(i);
        tests.add(test(target, target.folder() + " seed " + i, seed));
      }
      for (Path file : found(target)) {
        byte[] data = Files.readAllBytes(file);
        tests.add(test(target, target.folder() + " " + file.getFileName(), data));
      }
    }
    return tests;
  }

  private static DynamicTest test(Target target, String name, byte[] data) {
    return DynamicTest.dynamicTest(
        name, () -> Assertions.assertTimeoutPreemptively(SOON, () -> target.feed(data)));
  }

  private static List<Path> found(Target target) throws IOException {
    Path folder = Path.of("src/test/resources/fuzz", target.folder());
    if (!Files.isDirectory(folder)) {
      return List.of();
    }
    try (var files = Files.list(folder)) {
      return files.sorted().toList();
    }
  }
}
