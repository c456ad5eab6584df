package takewright.analyse;

import takewright.dsp.Decibels;
import takewright.dsp.SumOfSquares;

/**
 * The level of the quietest stretch, of audio fed in blocks of any size: of the room, where nobody
 * plays for a moment.
 *
 * <p>RMS over all channels; 0 dBFS is a mean square of 1, so a full scale sine has -3.01 dBFS. The
 * window is 400 ms for audio of 2 s or more, 100 ms for shorter, the whole for what is shorter
 * still. The lowest of many windows lies a little below their mean: for white noise at 48 kHz 0.1
 * to 0.3 dB. Windows with digital silence in them, 5 ms of it or more, are skipped unless there is
 * nothing else: it is a cut or padding, not the room.
 */
final class NoiseFloor {
  /** Segments of 5 ms: what a window may hold of digital silence at most, 0.2 dB of 100 ms. */
  private static final int SEGMENTS_A_SECOND = 200;

  /** Windows begin 50 ms apart. */
  private static final int APART = 10;

  /** 100 ms. */
  private static final int SHORT = 20;

  /** 400 ms. */
  private static final int LONG = 80;

  /** 2 s: from here on the long window is used. */
  private static final int ENOUGH = 2 * SEGMENTS_A_SECOND;

  private final int sampleRate;
  private final int channels;
  private final double[] segments = new double[LONG];
  private long completed;
  private double segment;
  private double energy;
  private long frames;
  private double lowestShort = Double.POSITIVE_INFINITY;
  private double lowestLong = Double.POSITIVE_INFINITY;

  NoiseFloor(int sampleRate, int channels) {
    this.sampleRate = sampleRate;
    this.channels = channels;
  }

  /** Processes the next frames, one array per channel. */
  void feed(float[][] planar, int offset, int count) {
    int at = offset;
    int left = count;
    while (left > 0) {
      int n = (int) Math.min(left, boundary(completed + 1) - frames);
      for (int c = 0; c < channels; c++) {
        segment += SumOfSquares.of(planar[c], at, at + n);
      }
      frames += n;
      at += n;
      left -= n;
      if (frames == boundary(completed + 1)) {
        complete();
      }
    }
  }

  /** The level in dBFS; -200 for digital silence and for nothing. */
  double dbfs() {
    double lowest =
        completed >= ENOUGH && lowestLong < Double.POSITIVE_INFINITY ? lowestLong : lowestShort;
    if (lowest == Double.POSITIVE_INFINITY) {
      lowest = (energy + segment) / Math.max(1, frames);
    }
    double meanSquare = lowest / channels;
    return meanSquare > 0 ? Math.max(-200, Decibels.fromPower(meanSquare)) : -200;
  }

  private long boundary(long segment) {
    return segment * sampleRate / SEGMENTS_A_SECOND;
  }

  private void complete() {
    segments[(int) (completed % LONG)] = segment;
    energy += segment;
    segment = 0;
    completed++;
    if (completed % APART == 0) {
      lowestShort = Math.min(lowestShort, window(SHORT));
      lowestLong = Math.min(lowestLong, window(LONG));
    }
  }

  /** The mean square of the last this many segments; infinite where it does not count. */
  private double window(int count) {
    if (completed < count) {
      return Double.POSITIVE_INFINITY;
    }
    double sum = 0;
    for (long s = completed - count; s < completed; s++) {
      double one = segments[(int) (s % LONG)];
      if (one == 0) {
        return Double.POSITIVE_INFINITY;
      }
      sum += one;
    }
    return sum / (boundary(completed) - boundary(completed - count));
  }
}
