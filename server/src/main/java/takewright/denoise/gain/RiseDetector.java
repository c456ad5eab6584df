package takewright.denoise.gain;

import takewright.denoise.band.StftSize;

/** Tells where a note may begin while another rings on: a third of an octave holds much more. */
final class RiseDetector {
  /** Times more than in the frames before, and than the noise. */
  private static final float RISES = 4;

  private static final float STANDS = 100;

  /** Frames that a frame is compared with: as many as see the same sound. */
  private static final int BEFORE = StftSize.OVERLAP;

  private final float[][] before;
  private int frames;

  /**
   * @param bands thirds of an octave
   */
  RiseDetector(int bands) {
    before = new float[BEFORE][bands];
  }

  /** Starts anew: a note has begun. */
  void reset() {
    frames = 0;
  }

  /**
   * Takes the next frame in which something sounds.
   *
   * @param bands mean power over noise power of each third of an octave
   * @return whether one of them rises, and enough frames have been taken since a note last began
   */
  boolean rises(float[] bands) {
    boolean rises = false;
    for (int b = 0; b < bands.length; b++) {
      float usual = 1;
      for (float[] frame : before) {
        usual = Math.max(usual, frame[b]);
      }
      rises |= bands[b] > STANDS && bands[b] > RISES * usual;
    }
    System.arraycopy(bands, 0, before[frames % BEFORE], 0, bands.length);
    frames++;
    return rises && frames > BEFORE;
  }
}
