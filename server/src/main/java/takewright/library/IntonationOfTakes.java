package takewright.library;

import java.io.IOException;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.Future;
import takewright.library.sample.Intonation;
import takewright.library.sample.SampleMaker;
import takewright.library.take.CutTake;
import takewright.library.take.KeptRegion;
import takewright.sheet.Sheet;

/** Hears the short notes of each take together, since each by itself says little of its pitch. */
final class IntonationOfTakes {
  private IntonationOfTakes() {}

  /**
   * What the notes of each take add to how far each region is heard to be off, in cents.
   *
   * @param background listens to all regions at once
   */
  static Map<KeptRegion, Double> leans(Sheet sheet, List<CutTake> takes, Background background)
      throws IOException {
    Map<KeptRegion, Future<Intonation.HeardNote>> listening = new LinkedHashMap<>();
    for (CutTake take : takes) {
      for (KeptRegion kept : take.kept()) {
        listening.put(kept, background.submit(() -> SampleMaker.listenAhead(sheet, kept)));
      }
    }
    Map<KeptRegion, Intonation.HeardNote> heard = background.results(listening);
    Map<KeptRegion, Double> leans = new HashMap<>();
    for (CutTake take : takes) {
      List<KeptRegion> kept = List.copyOf(take.kept());
      double[] ofTake = Intonation.leans(kept.stream().map(heard::get).toList());
      for (int i = 0; i < ofTake.length; i++) {
        leans.put(kept.get(i), ofTake[i]);
      }
    }
    return leans;
  }
}
