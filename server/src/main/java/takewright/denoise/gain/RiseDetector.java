package takewright.denoise.gain;

import takewright.denoise.band.StftSize;

/** Tells where a note may begin while another rings on: thirds of an octave hold much more. */
final class RiseDetector {
  /** Factors by which a band rises over the frames before, and stands over the noise. */
  private static final float RISES = 4;

  private static final float STANDS = 100;

  /** Bands that rise at least: a bow makes one or two of them rise all the time. */
  private static final int BANDS = 3;

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
   * @return whether some of them rise, and enough frames have been taken since a note last began
   */
  boolean rises(float[] bands) {
    int rising = 0;
    for (int b = 0; b < bands.length; b++) {
      float usual = 1;
      for (float[] frame : before) {
        usual = Math.max(usual, frame[b]);
      }
      rising += bands[b] > STANDS && bands[b] > RISES * usual ? 1 : 0;
    }
    System.arraycopy(bands, 0, before[frames % BEFORE], 0, bands.length);
    frames++;
    return rising >= BANDS && frames > BEFORE;
  }
}
