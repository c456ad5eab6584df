package takewright.report;

import java.util.List;
import java.util.Map;
import takewright.audio.Recording;
import takewright.denoise.room.NoiseProfile;
import takewright.library.folder.IndexRow;
import takewright.library.take.TakeHeard;

/**
 * What a build has heard in all takes.
 *
 * @param takes the takes, in the order of the sheet
 * @param rooms by take and layer, the room tone by which samples were cleaned
 */
record HeardTakes(List<TakeHeard> takes, Map<Integer, Map<String, NoiseProfile>> rooms) {
  /** The take of a sample, or null. */
  TakeHeard take(IndexRow row) {
    for (TakeHeard heard : takes) {
      if (heard.take().name().equals(row.stretch().take())
          && heard.take().articulation().equals(row.cell().articulation())
          && (row.stretch().onsetS() == null
              || heard.take().span().contains(row.stretch().onsetS()))) {
        return heard;
      }
    }
    return null;
  }

  /** The room of a layer, or of the main microphone that it was made from; null for none. */
  NoiseProfile room(TakeHeard heard, String layer) {
    Map<String, Recording> microphones = heard.take().files();
    String recorded = layer;
    if (!microphones.containsKey(layer)) {
      for (Map.Entry<String, Recording> microphone : microphones.entrySet()) {
        recorded =
            microphone.getValue().equals(heard.take().main()) ? microphone.getKey() : recorded;
      }
    }
    return rooms.getOrDefault(heard.take().index(), Map.of()).get(recorded);
  }
}
