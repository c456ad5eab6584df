package takewright.map;

import java.util.List;

/**
 * Which sample plays on which key.
 *
 * @param zones by articulation and layer, then from the lowest key and velocity up
 * @param gaps keys between two roots that none reaches
 * @param leftOut files for which there was no key
 */
public record KeyMap(List<Zone> zones, List<Gap> gaps, List<String> leftOut) {
  /**
   * Silent keys although there are notes below and above.
   *
   * @param lowKey first of them
   * @param highKey last of them
   */
  public record Gap(String articulation, String layer, int lowKey, int highKey) {}

  public KeyMap {
    zones = List.copyOf(zones);
    gaps = List.copyOf(gaps);
    leftOut = List.copyOf(leftOut);
  }
}
