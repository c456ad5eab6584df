package takewright.library.take;

import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.library.match.Matching;
import takewright.library.match.OffItsNote;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.segment.Region;
import takewright.sheet.Take;
import takewright.sheet.Treatment;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;
import takewright.sheet.decision.Correction;

/**
 * What a build would find wrong with the regions of a take before it has made any sample of them,
 * so that it can be said while the take is recorded. The rules are the build's own.
 */
public final class RegionFlags {
  private RegionFlags() {}

  /**
   * The flags of each region.
   *
   * @param regions as they were matched
   * @param sampleRate of the take, in hertz
   */
  public static List<Set<Flag>> of(
      Take take, List<Region> regions, List<Cell> cells, Matching matching, int sampleRate) {
    List<Region> marked = matching.marked(regions, sampleRate);
    List<KeptRegion> kept = new ArrayList<>();
    for (int i = 0; i < marked.size(); i++) {
      if (matching.statuses().get(i) == CellStatus.KEPT) {
        Cell cell = cells.get(matching.cells()[i]);
        kept.add(new KeptRegion(take, marked.get(i), cell, Correction.NONE));
      }
    }
    Set<Region> odd = OddLengths.of(kept, sampleRate);
    Set<Region> disturbed = NoisierThanBefore.of(kept, sampleRate);
    List<Set<Flag>> all = new ArrayList<>();
    for (Region region : marked) {
      Set<Flag> flags = EnumSet.noneOf(Flag.class);
      flags.addAll(region.flags());
      all.add(flags);
    }
    for (int i = 0, k = 0; i < marked.size(); i++) {
      if (matching.isFalseStart(i, marked)) {
        all.get(i).add(Flag.FALSE_START);
      }
      if (matching.statuses().get(i) == CellStatus.KEPT) {
        if (disturbed.contains(kept.get(k).region())) {
          all.get(i).add(Flag.DISTURBED);
        }
        addOfKept(kept.get(k++), odd, all.get(i));
      }
    }
    return all;
  }

  private static void addOfKept(KeptRegion kept, Set<Region> odd, Set<Flag> flags) {
    Region region = kept.region();
    if (odd.contains(region)) {
      flags.add(Flag.ODD_LENGTH);
    }
    if (region.rejected()) {
      flags.add(Flag.UNSURE);
    }
    Pitch pitch = region.pitch();
    Cell cell = kept.cell();
    if (pitch != null
        && cell.midi() != null
        && region.kind() == Kind.PITCHED
        && !Treatment.soundsElsewhere(cell.articulation())) {
      double tempered = kept.take().rules().tuning().temperament().cents(cell.midi());
      double cents = 100.0 * (pitch.midi() - cell.midi()) + pitch.cents() - tempered;
      flags.addAll(OffItsNote.of(cents, 0, 0));
    }
  }
}
