package takewright.library;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import takewright.library.folder.IndexCsv;
import takewright.library.folder.IndexRow;
import takewright.library.folder.Stretch;
import takewright.library.take.CutTake;
import takewright.segment.Region;

/**
 * Names for regions that stay from build to build: a region that mostly lies where one of the last
 * build lay keeps its id. A new one is named after its take and its onset in milliseconds.
 */
final class RegionIds {
  /** Regions are the same that share more than this of the shorter one. */
  private static final double SAME_SHARE = 0.5;

  /** Stretches of the last build by take, each with its id. */
  private final Map<String, List<Earlier>> earlier = new LinkedHashMap<>();

  private final Set<String> used = new HashSet<>();

  private record Earlier(String id, double startS, double endS) {}

  /** A region and an earlier one, and how much they share. */
  private record RegionPair(int region, Earlier other, double share) {}

  /**
   * @param last the index of the last build; empty if there is none
   */
  RegionIds(List<IndexRow> last) {
    for (IndexRow row : last) {
      Stretch stretch = row.stretch();
      if (stretch.startS() != null && !row.id().isEmpty() && used.add(row.id())) {
        earlier
            .computeIfAbsent(stretch.take(), take -> new ArrayList<>())
            .add(new Earlier(row.id(), stretch.startS(), stretch.endS()));
      }
    }
  }

  /** The rows of an index that may not be there, or be of another version. */
  static List<IndexRow> last(Path index) {
    try {
      return Files.exists(index) ? IndexCsv.read(index) : List.of();
    } catch (IOException e) {
      // Nothing depends on it but names that might have stayed.
      return List.of();
    }
  }

  /** The ids of a take's regions; called once a take, in the order of the sheet. */
  List<String> of(CutTake cut) {
    double rate = cut.segmentation().sampleRate();
    List<Earlier> others = earlier.getOrDefault(cut.take().name(), List.of());
    List<RegionPair> pairs = new ArrayList<>();
    for (int i = 0; i < cut.regions().size(); i++) {
      Region region = cut.regions().get(i);
      for (Earlier other : others) {
        double share = share(region.start() / rate, region.end() / rate, other);
        if (share > SAME_SHARE) {
          pairs.add(new RegionPair(i, other, share));
        }
      }
    }
    pairs.sort(Comparator.comparingDouble(RegionPair::share).reversed());
    String[] ids = new String[cut.regions().size()];
    Set<String> kept = new HashSet<>();
    for (RegionPair pair : pairs) {
      if (ids[pair.region()] == null && kept.add(pair.other().id())) {
        ids[pair.region()] = pair.other().id();
      }
    }
    // Of a take that is named twice, the second has regions of its own.
    others = new ArrayList<>(others);
    others.removeIf(other -> kept.contains(other.id()));
    earlier.put(cut.take().name(), others);
    for (int i = 0; i < ids.length; i++) {
      if (ids[i] == null) {
        ids[i] = unused(cut.take().name(), cut.regions().get(i).onset() / rate);
      }
    }
    return List.of(ids);
  }

  private static double share(double startS, double endS, Earlier other) {
    double shared = Math.min(endS, other.endS()) - Math.max(startS, other.startS());
    return shared / Math.min(endS - startS, other.endS() - other.startS());
  }

  private String unused(String take, double onsetS) {
    String file = take.substring(take.lastIndexOf('/') + 1);
    int dot = file.lastIndexOf('.');
    String stem = (dot > 0 ? file.substring(0, dot) : file).replaceAll("[^A-Za-z0-9._-]+", "-");
    String id = stem + "-" + Math.round(1000 * onsetS);
    String tried = id;
    for (int n = 2; !used.add(tried); n++) {
      tried = id + "-" + n;
    }
    return tried;
  }
}
