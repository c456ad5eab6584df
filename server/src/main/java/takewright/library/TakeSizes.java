package takewright.library;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.IdentityHashMap;
import java.util.List;
import java.util.Map;
import java.util.function.Function;
import takewright.sheet.Take;

/** How large takes are on the disk, by which their work is shared out. */
final class TakeSizes {
  private TakeSizes() {}

  /**
   * The takes in the order of their sizes: with the longest last, all cores but one would be idle.
   */
  static List<Take> longestFirst(List<Take> takes) {
    return longestFirst(takes, take -> take);
  }

  /** The same of what belongs to takes. */
  static <T> List<T> longestFirst(List<T> ofTakes, Function<T, Take> take) {
    Map<T, Long> sizes = new IdentityHashMap<>();
    for (T each : ofTakes) {
      sizes.put(each, bytes(take.apply(each)));
    }
    List<T> sorted = new ArrayList<>(ofTakes);
    sorted.sort(Comparator.comparing(each -> -sizes.get(each)));
    return sorted;
  }

  /** Bytes of the files of a take's main microphone. */
  static long bytes(Take take) {
    return take.main().files().stream().mapToLong(TakeSizes::bytes).sum();
  }

  private static long bytes(Path file) {
    try {
      return Files.size(file);
    } catch (IOException e) {
      return 0; // it is reported when it is cut
    }
  }
}
