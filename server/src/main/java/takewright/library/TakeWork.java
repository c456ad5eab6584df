package takewright.library;

import java.util.List;
import java.util.Map;
import java.util.Set;
import takewright.denoise.room.NoiseProfile;
import takewright.diagnosis.Flag;
import takewright.library.take.CutTake;
import takewright.library.take.KeptRegion;
import takewright.segment.Region;
import takewright.sheet.Take;

/**
 * A take, cut and matched, with the ids of its regions, what is wrong with them beside the others,
 * and the room tone of each recorded layer that has one.
 */
record TakeWork(
    CutTake cut,
    List<String> ids,
    Map<Region, Set<Flag>> besideOthers,
    Map<String, NoiseProfile> rooms) {
  Take take() {
    return cut.take();
  }

  String id(KeptRegion kept) {
    return ids.get(cut.regions().indexOf(kept.region()));
  }
}
