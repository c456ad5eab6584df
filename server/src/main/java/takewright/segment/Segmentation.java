package takewright.segment;

import java.util.List;
import takewright.segment.room.RoomCourse;

/**
 * What a segmentation found.
 *
 * @param regions all regions, rejected ones too, in the order of the take; they do not overlap
 * @param roomTone the quietest honest stretches, for a noise profile; may be empty
 * @param roomToneDbfs level of the room with nobody playing, RMS in dBFS
 * @param room what was learnt of the room, from the beginning of what was read
 * @param frames frames read
 * @param sampleRate frames per second
 */
public record Segmentation(
    List<Region> regions,
    List<FrameRange> roomTone,
    double roomToneDbfs,
    RoomCourse room,
    long frames,
    int sampleRate) {
  public Segmentation {
    regions = List.copyOf(regions);
    roomTone = List.copyOf(roomTone);
  }

  /** The same, counted from a beginning that lies so many frames earlier. */
  public Segmentation later(long by) {
    return by == 0
        ? this
        : new Segmentation(
            regions.stream().map(region -> region.later(by)).toList(),
            roomTone.stream().map(tone -> tone.later(by)).toList(),
            roomToneDbfs,
            room,
            frames + by,
            sampleRate);
  }
}
