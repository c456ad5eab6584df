package takewright.loop;

import takewright.dsp.HarmonicTrack;

/** How many cycles of its fundamental a note has gone through at each moment. */
final class PhaseTrack {
  private final double hop;
  private final double cyclesPerFrame;

  /** By place: cycles beyond those that the expected frequency would have made. */
  private final double[] ahead;

  PhaseTrack(float[] x, int sampleRate, double hz) {
    HarmonicTrack track = new HarmonicTrack(x, 0, x.length, sampleRate, hz);
    hop = track.hop();
    cyclesPerFrame = hz / sampleRate;
    ahead = new double[track.size()];
    for (int i = 1; i < ahead.length; i++) {
      double deviation = track.deviation(i);
      ahead[i] = ahead[i - 1] + (Double.isNaN(deviation) ? 0 : deviation * cyclesPerFrame * hop);
    }
  }

  /** Cycles beyond the expected, at a frame; between places along a straight line. */
  double ahead(double frame) {
    double place = Math.max(0, Math.min(ahead.length - 1.0, frame / hop));
    int i = Math.min(ahead.length - 2, (int) place);
    return i < 0 ? 0 : ahead[i] + (place - i) * (ahead[i + 1] - ahead[i]);
  }

  /** Mean pitch from one frame to another, in cents above the expected. */
  double cents(int from, int to) {
    double share = (ahead(to) - ahead(from)) / ((to - from) * cyclesPerFrame);
    return 1200 / Math.log(2) * Math.log1p(share);
  }

  /**
   * How much the phase between two places comes and goes within {@code reach} frames on either
   * side: its standard deviation in cycles. 0 means that the waveforms stay in step throughout.
   */
  double slip(int a, int b, int reach, int step) {
    double sum = 0;
    double squares = 0;
    int count = 0;
    for (int k = -reach; k <= reach; k += step) {
      double d = ahead(b + (double) k) - ahead(a + (double) k);
      sum += d;
      squares += d * d;
      count++;
    }
    double mean = sum / count;
    return Math.sqrt(Math.max(0, squares / count - mean * mean));
  }
}
