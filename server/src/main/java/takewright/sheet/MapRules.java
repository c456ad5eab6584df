package takewright.sheet;

import takewright.map.MapSettings;
import takewright.map.ModWheel;

/**
 * How the samples lie on the keys, and what instruments are written of them.
 *
 * @param keys how samples are laid on keys and velocities
 * @param modWheel what the modulation wheel does; null: nothing
 */
public record MapRules(MapSettings keys, ModWheel modWheel) {
  public static final MapRules DEFAULTS = new MapRules(MapSettings.DEFAULTS, ModWheel.DEFAULT);
}
