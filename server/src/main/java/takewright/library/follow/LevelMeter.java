package takewright.library.follow;

import takewright.dsp.Decibels;

/** The levels of the audio that arrives: its peak, which falls slowly, and what was clipped. */
public final class LevelMeter {
  /**
   * How fast the peak falls, in dB a second: slow enough to be read, as peak programme meters fall.
   * Common practice.
   */
  private static final double FALL_DB_PER_S = 20;

  /**
   * At and above this a sample counts as clipped: the largest value of 16 bits, below full scale.
   */
  private static final double CLIPPED = 32_767 / 32_768.0;

  private static final double SILENCE_DB = -200;

  private final int sampleRate;
  private double peakDbfs = SILENCE_DB;
  private long clipped;

  public LevelMeter(int sampleRate) {
    this.sampleRate = sampleRate;
  }

  /** Takes a block of audio. */
  public void push(float[][] channels, int count) {
    float max = 0;
    for (float[] samples : channels) {
      for (int i = 0; i < count; i++) {
        float size = Math.abs(samples[i]);
        max = Math.max(max, size);
        if (size >= CLIPPED) {
          clipped++;
        }
      }
    }
    double fallen = peakDbfs - FALL_DB_PER_S * count / sampleRate;
    double now = max > 0 ? Decibels.fromAmplitude(max) : SILENCE_DB;
    peakDbfs = Math.max(SILENCE_DB, Math.max(fallen, now));
  }

  /** The peak, in dBFS; -200 for silence. */
  public double peakDbfs() {
    return peakDbfs;
  }

  /** Samples at full scale so far. */
  public long clipped() {
    return clipped;
  }
}
