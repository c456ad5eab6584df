package takewright.library;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import takewright.audio.WavChunks;
import takewright.library.sample.SampleNames;
import takewright.library.take.CutTake;
import takewright.library.take.KeptRegion;
import takewright.map.MapSample;
import takewright.map.Mapping;
import takewright.sheet.Layer;
import takewright.sheet.Sheet;

/**
 * The keys and velocities that samples will have, found before they are made, so that nearly every
 * file is written and flushed once. What turns out otherwise, such as velocities that are split by
 * the measured loudness of a made layer, is set in the finished files.
 */
final class ExpectedKeys {
  private ExpectedKeys() {}

  /** By the name of the sample; none for one that has no key. */
  static Map<String, WavChunks.Instrument> of(
      Sheet sheet,
      SampleNames names,
      List<CutTake> cuts,
      Map<KeptRegion, SettledMoves.Move> moves) {
    List<MapSample> samples = new ArrayList<>();
    for (CutTake cut : cuts) {
      for (KeptRegion kept : cut.kept()) {
        for (Layer layer : sheet.layers(kept.take())) {
          samples.add(sample(names.of(kept.cell(), layer), kept, layer, moves.get(kept)));
        }
      }
    }
    Map<String, WavChunks.Instrument> keys = new HashMap<>();
    Mapping.apply(samples, sheet.map().keys())
        .zones()
        .forEach(zone -> keys.put(zone.file(), KeyMapFiles.keys(zone)));
    return keys;
  }

  private static MapSample sample(
      String name, KeptRegion kept, Layer layer, SettledMoves.Move move) {
    boolean isLevelled = move.played() != null && move.gain() != null;
    return new MapSample(
        name,
        kept.cell().articulation(),
        layer.name(),
        kept.cell().midi(),
        kept.cell().dynamic() == null ? "" : kept.cell().dynamic(),
        kept.cell().rr() == 0 ? 1 : kept.cell().rr(),
        isLevelled ? (Double) (move.played().levelLufs() + move.gain().gainDb()) : null,
        0,
        null,
        null,
        null);
  }
}
