package takewright.sheet;

import takewright.map.DlsSettings;
import takewright.map.MapSettings;

/**
 * How the samples lie on the keys, and what instruments are written of them.
 *
 * @param keys how samples are laid on keys and velocities
 * @param dls what the DLS instruments do beyond that
 */
public record MapRules(MapSettings keys, DlsSettings dls) {
  public static final MapRules DEFAULTS = new MapRules(MapSettings.DEFAULTS, DlsSettings.DEFAULTS);
}
