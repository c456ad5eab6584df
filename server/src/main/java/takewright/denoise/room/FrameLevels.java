package takewright.denoise.room;

import java.util.Arrays;

/**
 * The data kept of every frame of a take until its pauses are known: position, level of each band,
 * and roughness of the spectrum.
 *
 * <p>Memory is bounded: of a long take every second frame is kept, then every fourth, and so on.
 */
final class FrameLevels {
  /** Maximum number of frames: 46 minutes at 48 kHz, then every second one is dropped. */
  private static final int MAX_FRAMES = 1 << 15;

  /** Resolution of the levels, in dB. */
  private static final float STEP_DB = 1f / 64;

  private static final float ROUGH_STEP_DB = 1f / 4;

  private final int bands;
  private long[] at = new long[1024];
  private short[][] levels = new short[1024][];
  private float[] mean = new float[1024];
  private float[] rough = new float[1024];
  private byte[][] roughOfBands = new byte[1024][];
  private float[] dbfs = new float[1024];
  private int count;
  private int every = 1;
  private long seen;

  FrameLevels(int bands) {
    this.bands = bands;
  }

  /**
   * Adds a frame.
   *
   * @param frame its middle, in frames of the take; later than that of the one before
   * @param ofBands mean logarithm of the power in each band, in dB
   * @param roughDb how far the mean power of each band lies over its mean logarithm, in dB
   * @param levelDbfs level of the whole frame
   */
  void add(long frame, float[] ofBands, float[] roughDb, double levelDbfs) {
    if (seen++ % every != 0) {
      return;
    }
    if (count == MAX_FRAMES) {
      halve();
    }
    if (count == at.length) {
      at = Arrays.copyOf(at, 2 * count);
      levels = Arrays.copyOf(levels, 2 * count);
      mean = Arrays.copyOf(mean, 2 * count);
      rough = Arrays.copyOf(rough, 2 * count);
      roughOfBands = Arrays.copyOf(roughOfBands, 2 * count);
      dbfs = Arrays.copyOf(dbfs, 2 * count);
    }
    short[] rounded = new short[bands];
    byte[] roundedRough = new byte[bands];
    float sum = 0;
    float roughSum = 0;
    for (int b = 0; b < bands; b++) {
      roundedRough[b] = (byte) Math.max(0, Math.min(127, Math.round(roughDb[b] / ROUGH_STEP_DB)));
      roughSum += roughDb[b];
      rounded[b] = (short) Math.max(Short.MIN_VALUE, Math.round(ofBands[b] / STEP_DB));
      sum += ofBands[b];
    }
    at[count] = frame;
    levels[count] = rounded;
    mean[count] = sum / bands;
    rough[count] = roughSum / bands;
    roughOfBands[count] = roundedRough;
    dbfs[count++] = (float) levelDbfs;
  }

  private void halve() {
    for (int i = 0; 2 * i < count; i++) {
      at[i] = at[2 * i];
      levels[i] = levels[2 * i];
      mean[i] = mean[2 * i];
      rough[i] = rough[2 * i];
      roughOfBands[i] = roughOfBands[2 * i];
      dbfs[i] = dbfs[2 * i];
    }
    count = (count + 1) / 2;
    Arrays.fill(levels, count, levels.length, null);
    Arrays.fill(roughOfBands, count, levels.length, null);
    every *= 2;
  }

  int count() {
    return count;
  }

  int bands() {
    return bands;
  }

  /** One frame in this many is kept. */
  int every() {
    return every;
  }

  /** Where a frame lies in the take. */
  long at(int frame) {
    return at[frame];
  }

  /** The first frame that lies later in the take than this; the number of frames if none does. */
  int after(long position) {
    int found = Arrays.binarySearch(at, 0, count, position);
    return found < 0 ? -1 - found : found + 1;
  }

  /** The level of a band, in dB. */
  float level(int frame, int band) {
    return levels[frame][band] * STEP_DB;
  }

  /** The mean of the levels of all bands, in dB. */
  float mean(int frame) {
    return mean[frame];
  }

  /** How rough its spectrum is, in dB: noise is smooth, notes are not. */
  float rough(int frame) {
    return rough[frame];
  }

  /** How rough a band of it is, in dB. */
  float rough(int frame, int band) {
    return roughOfBands[frame][band] * ROUGH_STEP_DB;
  }

  /** Its level, RMS in dBFS. */
  float dbfs(int frame) {
    return dbfs[frame];
  }
}
