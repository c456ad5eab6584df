package takewright.segment;

import java.util.ArrayList;
import java.util.List;
import takewright.dsp.Decibels;

/** The room with nobody playing: the stretches between regions, and how loud they are. */
final class RoomTone {
  /** Idle stretches shorter than this, in seconds, teach nothing about the room. */
  private static final double LEAST_TONE_S = 0.3;

  private final long margin;
  private final long least;
  private final List<FrameRange> stretches = new ArrayList<>();
  private long since;
  private double sum;
  private long columns;

  RoomTone(int sampleRate) {
    margin = (long) (RegionEnd.TAIL_S * sampleRate);
    least = (long) Math.ceil(LEAST_TONE_S * sampleRate);
  }

  /** Takes the power of a column in, as a mean square. */
  void add(double power) {
    sum += power;
    columns++;
  }

  /** Takes note of a region; what lies between it and the one before is the room. */
  void sounds(long start, long end) {
    lasts(start);
    since = end;
  }

  /** Takes note that nothing was heard from the last region up to a frame. */
  void lasts(long until) {
    long from = since + margin;
    long to = until - margin;
    if (to - from >= least) {
      stretches.add(new FrameRange(from, to));
    }
  }

  /** Stretches in which nobody plays, so far. */
  List<FrameRange> stretches() {
    return stretches;
  }

  /** Mean square of the columns without a region; 0 if there were none. */
  double power() {
    return columns == 0 ? 0 : sum / columns;
  }

  /** The same as RMS in dBFS; -200 if there were none. */
  double dbfs() {
    return columns == 0 ? -200 : Decibels.fromPower(Math.max(1e-20, power()));
  }
}
