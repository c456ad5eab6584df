package takewright.layer;

import java.util.List;
import takewright.diagnosis.SettingException;

/**
 * How a layer is made: a room, then a chain of effects; either may be missing, not both.
 *
 * @param room the room, or null
 * @param chain effects in the order the sound takes
 * @param onsetFrame the frame at which the sample's sound sets in, 0 or more; it stays there
 */
public record LayerSettings(RoomSettings room, List<Effect> chain, long onsetFrame) {
  public LayerSettings {
    chain = List.copyOf(chain);
    if (room == null && chain.isEmpty()) {
      throw new SettingException("", "a layer needs a room or at least one effect", "give one");
    }
    if (onsetFrame < 0) {
      throw new SettingException("onset_frame", "is " + onsetFrame, "give 0 or more");
    }
  }

  /** A layer that is a room. */
  public static LayerSettings of(RoomSettings room) {
    return new LayerSettings(room, List.of(), 0);
  }

  /** A layer that is a chain of effects. */
  public static LayerSettings of(Effect... chain) {
    return new LayerSettings(null, List.of(chain), 0);
  }
}
