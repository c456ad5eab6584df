package takewright.segment.ahead;

import java.util.ArrayDeque;
import java.util.Queue;
import takewright.pitch.PitchDetector;
import takewright.pitch.PitchTrack;
import takewright.segment.room.Columns;

/**
 * The pitches of a region, window by window. While it goes on, the next windows are looked at
 * ahead.
 */
public final class PitchAhead {
  /** Windows that are looked at in one go, which takes a fifth of a millisecond. */
  private static final int WINDOWS = 4;

  /**
   * Goes ahead: as long as what is decided meanwhile takes, and little to lose at a region's end.
   */
  private static final int GOES = 2;

  private final Columns columns;
  private final PitchDetector detector;
  private final float[] window;
  private final Ahead ahead;
  private final Queue<Go> going = new ArrayDeque<>();
  private final Queue<Go> free = new ArrayDeque<>();

  /** The first column behind those that are looked at ahead. */
  private long next;

  /** Some windows, at equal distances. */
  private final class Go {
    private final PitchDetector own = new PitchDetector(columns.sampleRate());
    private final float[][] windows = new float[WINDOWS][own.window()];
    private long first;
    private int every;
    private Ahead.Task<PitchTrack> part;

    void begin(long column, int every) {
      first = column;
      this.every = every;
      for (int k = 0; k < WINDOWS; k++) {
        copy(column + (long) k * every, windows[k]);
      }
      part = ahead.begin(this::listen);
    }

    private PitchTrack listen() {
      PitchTrack heard = new PitchTrack();
      for (int k = 0; k < WINDOWS; k++) {
        heard.add((first + (long) k * every) * columns.hop(), own, own.find(windows[k], 0));
      }
      return heard;
    }
  }

  /**
   * Of a take.
   *
   * @param detector looks at what is not looked at ahead
   */
  public PitchAhead(Columns columns, PitchDetector detector, Ahead ahead) {
    this.columns = columns;
    this.detector = detector;
    this.ahead = ahead;
    window = new float[detector.window()];
    for (int i = 0; i < GOES && !ahead.isAlone(); i++) {
      free.add(new Go());
    }
  }

  /**
   * Adds the window around a column to what is heard of a region.
   *
   * @param every columns from this window to the next, if the region goes on
   */
  public void add(PitchTrack heard, long column, int every) {
    Go go = going.peek();
    if (go != null && column >= go.first && go.every == every) {
      int place = (int) (column - go.first) / every;
      heard.add(go.part.result(), place);
      if (place == WINDOWS - 1) {
        free.add(going.remove());
      }
    } else {
      copy(column, window);
      heard.add(column * columns.hop(), detector, detector.find(window, 0));
      next = column + every;
    }
    while (!free.isEmpty() && isThere(next + (WINDOWS - 1L) * every)) {
      Go more = free.remove();
      more.begin(next, every);
      going.add(more);
      next += (long) WINDOWS * every;
    }
  }

  /** Another region begins: what was looked at ahead is not needed. */
  public void reset() {
    for (Go go : going) {
      go.part.drop();
      free.add(go);
    }
    going.clear();
  }

  /** Whether the whole window around a column has been read. */
  private boolean isThere(long column) {
    return column * columns.hop() + window.length <= columns.frames();
  }

  private void copy(long column, float[] into) {
    columns.audio().copy(column * columns.hop() - into.length / 2, into, into.length);
  }
}
