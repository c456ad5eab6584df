package takewright.segment.room;

import takewright.dsp.Fft;
import takewright.dsp.Medians;
import takewright.dsp.Windows;

/**
 * The partial with which a sound dies away. What is left of a low string is a single partial, of
 * which a band holds a small part: its room hides it while it is still heard. In windows several
 * times as long as those of {@link Columns} it stands out of the bins around it.
 */
public final class RingingPartial {
  /** Length of a window, in seconds, of which the next lower power of two is taken. */
  private static final double WINDOW_S = 0.3;

  /** Partials are looked for between these frequencies, in hertz. */
  private static final double LOWEST_HZ = 35;

  private static final double HIGHEST_HZ = 2000;

  /** From one window to the next, in seconds. */
  private static final double STEP_S = 0.05;

  /** Two strings that beat are heard again within this, in seconds. */
  private static final double BEAT_S = 0.25;

  /** Bins on either side of a partial that its own main lobe reaches. */
  private static final int LOBE = 3;

  /** Bins on either side that a partial is compared with. */
  private static final int NEIGHBOURS = 10;

  /**
   * A partial stands so far above the median of its neighbours, as a power ratio (12 dB): of bins
   * of noise one in 60,000 does, as their power is spread exponentially.
   */
  private static final double CLEAR = 16;

  /** What grows by more than this, as a power ratio (3 dB), does not die away. */
  private static final double GROWS = 2;

  /**
   * A sound's partial has fallen by this, as a power ratio (6 dB), within the time before, in
   * seconds. A tone of the room has not.
   */
  private static final double FALLEN = 4;

  private static final double BEFORE_S = 0.5;

  private final Columns columns;
  private final Room room;
  private final Fft fft;
  private final float[] shape;
  private final float[] window;
  private final float[] power;
  private final double[] around = new double[2 * NEIGHBOURS];
  private final double scale;

  /** A partial that dies away in a room, by the samples and columns of the take. */
  public RingingPartial(Columns columns, Room room) {
    this.columns = columns;
    this.room = room;
    int size = Integer.highestOneBit((int) (WINDOW_S * columns.sampleRate()));
    fft = Fft.of(size);
    shape = Windows.hann(size);
    window = new float[size];
    power = new float[fft.bins()];
    // The bin of a sine then has its mean square: 1/2 for an amplitude of 1.
    double sum = 0;
    for (float w : shape) {
      sum += w;
    }
    scale = 2 / (sum * sum);
  }

  /**
   * Frame up to which a sound's strongest partial is heard to die away.
   *
   * @param from frame up to which the sound is heard by its bands; returned where nothing goes on
   * @param until frame from which on what is heard is no longer this sound
   */
  public long lasts(long from, long until) {
    long step = (long) (STEP_S * columns.sampleRate());
    long first = from - window.length / 2;
    measure(first);
    int bin = strongest();
    double now = bin < 0 ? 0 : level(bin);
    if (bin < 0 || !hasFallen(bin, now, first, step)) {
      return from;
    }
    double least = inRoom(bin);
    long beat = (long) (BEAT_S * columns.sampleRate());
    long last = from;
    for (long at = from + step; at <= Math.min(until, last + beat); at += step) {
      if (at + window.length / 2 > columns.frames()) {
        break;
      }
      measure(at);
      double level = level(bin);
      if (level > GROWS * now) {
        break;
      }
      last = level >= least && isClear(bin) ? at : last;
    }
    return last;
  }

  private boolean hasFallen(int bin, double now, long at, long step) {
    double most = 0;
    for (long before = at; before > at - BEFORE_S * columns.sampleRate(); before -= step) {
      measure(before);
      most = Math.max(most, level(bin));
    }
    return most >= FALLEN * now;
  }

  private void measure(long centre) {
    columns.audio().copy(centre - window.length / 2, window, window.length);
    for (int i = 0; i < window.length; i++) {
      window[i] *= shape[i];
    }
    fft.powerOf(window, power);
  }

  /** The strongest bin, if it stands clear of its neighbours and of the room; -1 if not. */
  private int strongest() {
    double hz = (double) columns.sampleRate() / window.length;
    int best = (int) Math.ceil(LOWEST_HZ / hz);
    for (int k = best + 1; k <= HIGHEST_HZ / hz; k++) {
      best = power[k] > power[best] ? k : best;
    }
    return isClear(best) && level(best) >= inRoom(best) ? best : -1;
  }

  /** Mean square of the partial at a bin, or beside it. */
  private double level(int bin) {
    return scale * Math.max(power[bin], Math.max(power[bin - 1], power[bin + 1]));
  }

  private boolean isClear(int bin) {
    int count = 0;
    for (int k = bin - NEIGHBOURS; k <= bin + NEIGHBOURS; k++) {
      if (k > 0 && Math.abs(k - bin) >= LOBE) {
        around[count++] = power[k];
      }
    }
    return level(bin) > CLEAR * scale * Medians.of(around, count);
  }

  /** Mean square of the room in the band of a bin. */
  private double inRoom(int bin) {
    double hz = (double) bin * columns.sampleRate() / window.length;
    int band = columns.bands().bandOf((int) Math.round(hz / columns.bands().binHz()));
    return room.power(band) * columns.bands().bins(band);
  }
}
