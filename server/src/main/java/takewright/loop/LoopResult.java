package takewright.loop;

/**
 * What came of a search.
 *
 * @param loop the best loop; null where none is good
 * @param reason why there is none, as one word; empty where there is one. "short": what is steady
 *     is too short; "unsteady": the level goes up or down all the time; "change": bow changes or
 *     breaths everywhere; "waveform", "level", "timbre", "pitch": the best loop would be heard by
 *     that
 * @param likeness of the waveform on both sides of the seam, -1 to 1; NaN where it was not compared
 */
public record LoopResult(Loop loop, String reason, double likeness) {
  static LoopResult none(String reason) {
    return new LoopResult(null, reason, Double.NaN);
  }
}
