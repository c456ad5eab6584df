package takewright.denoise.gain;

/**
 * Keeps the room at its floor where no note sounds, whatever the long frames let through there: up
 * to an attack, behind an end, or from an end to an attack.
 */
final class FloorHold {
  /** From the room at its floor to the note: too short to hear noise in, too long to click. */
  private static final double FADE_S = 0.02;

  private static final long ALWAYS = Long.MIN_VALUE / 2;
  private static final long NEVER = Long.MAX_VALUE / 2;

  private final float[][] input;
  private final float[][] result;
  private final float floor;
  private final int fade;

  /** Frames of the audio between which the room is held. */
  private long from;

  private long to;

  /**
   * @param input samples by channel; frame n stands at n modulo the length, a power of two
   * @param result the same for the result, which is changed
   */
  FloorHold(float[][] input, float[][] result, float floor, int sampleRate) {
    this.input = input;
    this.result = result;
    this.floor = floor;
    fade = (int) (FADE_S * sampleRate);
  }

  /** Frames over which it begins and ends. */
  int fade() {
    return fade;
  }

  /** Holds the room up to an attack. */
  void until(long attack) {
    between(ALWAYS, attack);
  }

  /** Holds the room from an end on. */
  void after(long end) {
    between(end, NEVER);
  }

  /** Holds the room from an end to an attack. */
  void between(long end, long attack) {
    from = end;
    to = attack;
  }

  /** Changes frames of the result that are there; the last one is exclusive. */
  void apply(long first, long last) {
    int mask = input[0].length - 1;
    for (long i = Math.max(first, from); i < Math.min(last, to); i++) {
      float hold = smooth(i - from) * smooth(to - i);
      int at = (int) i & mask;
      for (int c = 0; c < input.length; c++) {
        result[c][at] += hold * (floor * input[c][at] - result[c][at]);
      }
    }
  }

  /** How much the room is held, 0 to 1, this many frames from an end of the stretch. */
  private float smooth(long frames) {
    float x = Math.min(1, (float) frames / fade);
    return x * x * (3 - 2 * x);
  }
}
