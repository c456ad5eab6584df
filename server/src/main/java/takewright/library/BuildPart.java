package takewright.library;

import java.util.Comparator;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import takewright.diagnosis.ProblemException;
import takewright.sheet.Sheet;
import takewright.sheet.Take;

/**
 * One of several parts of a build that share an output folder, each on a machine of its own. A part
 * makes the samples of whole articulations, since the levels of one follow from all of its notes;
 * so they are those of a build on one machine, to the byte. A build without parts finishes the
 * library.
 *
 * @param number which part, from 1
 * @param count of how many; with more than there are articulations some have nothing to do
 */
public record BuildPart(int number, int count) {
  /** More machines than anybody has. */
  private static final int MAX_COUNT = 10_000;

  public BuildPart {
    if (count < 1 || count > MAX_COUNT || number < 1 || number > count) {
      throw ProblemException.invalid(
          "part",
          "must be one of 1 to " + MAX_COUNT + " parts, not " + number + " of " + count,
          "count parts from 1, such as 1/4 to 4/4");
    }
  }

  /** For file names and messages. */
  String words() {
    return number + "-of-" + count;
  }

  /**
   * The takes of this part, in the order of the sheet. The longest articulation goes to the first
   * part, each further one to the part that has least: no part is longer than the best dealing by
   * more than a third (R. L. Graham, "Bounds on multiprocessing timing anomalies", SIAM Journal on
   * Applied Mathematics 17(2), 1969).
   */
  List<Take> of(Sheet sheet) {
    Map<String, Long> sizes = new LinkedHashMap<>();
    for (Take take : sheet.takes()) {
      // All parts see the same files, and so deal alike; what is missing is reported when it is
      // cut.
      sizes.merge(take.articulation(), 1 + TakeSizes.bytes(take), Long::sum);
    }
    long[] dealt = new long[count];
    Set<String> own = new HashSet<>();
    List<String> longestFirst =
        sizes.keySet().stream().sorted(Comparator.comparing(name -> -sizes.get(name))).toList();
    for (String articulation : longestFirst) {
      int least = 0;
      for (int p = 1; p < count; p++) {
        least = dealt[p] < dealt[least] ? p : least;
      }
      dealt[least] += sizes.get(articulation);
      if (least == number - 1) {
        own.add(articulation);
      }
    }
    return sheet.takes().stream().filter(take -> own.contains(take.articulation())).toList();
  }
}
