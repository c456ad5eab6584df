package takewright.sheet;

import java.util.List;
import takewright.map.DlsSettings;
import takewright.map.MapSettings;

/**
 * How the samples lie on the keys, and what instruments are written of them.
 *
 * @param keys how samples are laid on keys and velocities
 * @param dls what the DLS instruments do beyond that
 * @param templates by which the map is written as text
 */
public record MapRules(MapSettings keys, DlsSettings dls, List<MapTemplate> templates) {
  public static final MapRules DEFAULTS =
      new MapRules(MapSettings.DEFAULTS, DlsSettings.DEFAULTS, List.of());

  public MapRules {
    templates = List.copyOf(templates);
  }
}
