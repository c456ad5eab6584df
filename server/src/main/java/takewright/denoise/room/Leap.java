package takewright.denoise.room;

/**
 * When the level of a whole room changes for good, as when a fan is switched off.
 *
 * @param from the frame at which it begins to
 * @param to the frame from which on it is as it stays
 */
record Leap(long from, long to) {
  /** How much of the change in dB is over at a frame: 0 to 1. */
  double done(long frame) {
    if (to <= from) {
      return frame < from ? 0 : 1;
    }
    return Math.max(0, Math.min(1, (double) (frame - from) / (to - from)));
  }
}
