package takewright.denoise.gain;

import takewright.denoise.band.SoundDetector;
import takewright.denoise.band.StftSize;

/**
 * Follows what is left of a note through frames in which none is plain to see: its tail sounds on
 * where it did. What comes up elsewhere in the spectrum after it is something else.
 */
final class FaintTail {
  /** Frames between two notes that may hold a pause: one sees as long a stretch. */
  private static final int PAUSE = StftSize.OVERLAP;

  private final boolean[] sounding;
  private final boolean[] before;

  /** Whether a note has been plain to see. */
  private boolean seen;

  /** Frames since it was, and since its tail was over. */
  private int faint;

  private int over;

  /**
   * @param blocks blocks of bins in which {@link SoundDetector} finds sound or not
   */
  FaintTail(int blocks) {
    sounding = new boolean[blocks];
    before = new boolean[blocks];
  }

  /** Starts anew: it was quiet. */
  void reset() {
    seen = false;
    faint = 0;
    over = 0;
  }

  /**
   * Takes the next frame in which something sounds.
   *
   * @param near 1 for each block in which it does, else 0
   * @param plain whether a note is plain to see
   */
  void next(byte[] near, boolean plain) {
    seen |= plain;
    if (!seen) {
      return;
    }
    System.arraycopy(sounding, 0, before, 0, before.length);
    boolean any = false;
    int last = before.length - 1;
    for (int b = 0; b <= last; b++) {
      boolean beside = before[Math.max(0, b - 1)] || before[b] || before[Math.min(last, b + 1)];
      sounding[b] = near[b] > 0 && (plain || beside);
      any |= sounding[b];
    }
    faint = plain ? 0 : faint + 1;
    over = plain || any ? 0 : over + 1;
  }

  /** Whether no note has been plain to see for so long that there may have been a pause. */
  boolean mayHavePaused() {
    return faint >= PAUSE;
  }

  /** Frames since the last one in which a note was plain to see; 0 if there was none. */
  int faintFrames() {
    return faint;
  }

  /** Frames in which nothing of the tail sounds any more; 0 as long as it does. */
  int overFrames() {
    return over;
  }
}
