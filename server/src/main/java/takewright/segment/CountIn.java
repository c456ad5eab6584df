package takewright.segment;

import java.util.ArrayList;
import java.util.List;
import java.util.function.Consumer;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;

/**
 * Recognises a count-in: three or more short sounds, none of them the instrument's, evenly apart,
 * and a note where the next would be. They are rejected anyway; this says why.
 *
 * <p>Regions go through in their order. Those that may turn out to belong to a count-in are held
 * back until the next region, or the end, decides.
 */
final class CountIn implements Consumer<Region> {
  /** Fewer are no count-in: two knocks happen. */
  private static final int LEAST = 3;

  /** A spoken number or a tap of the foot is shorter than this, in seconds. */
  private static final double LONGEST_S = 0.8;

  /** From one beat to the next, in seconds: 200 down to 40 a minute. Common practice. */
  private static final double SHORTEST_BEAT_S = 0.3;

  private static final double LONGEST_BEAT_S = 1.5;

  /** Share of a beat by which a spoken one may be off. */
  private static final double OFF = 0.15;

  private final int sampleRate;
  private final Consumer<Region> sink;
  private final List<Region> held = new ArrayList<>();

  CountIn(int sampleRate, Consumer<Region> sink) {
    this.sampleRate = sampleRate;
    this.sink = sink;
  }

  @Override
  public void accept(Region region) {
    boolean isShort = region.end() - region.onset() < LONGEST_S * sampleRate;
    if (region.rejected() && isShort) {
      if (!held.isEmpty() && !isBeat(region.onset() - last().onset())) {
        finish();
      }
      held.add(region);
      return;
    }
    if (!region.rejected()) {
      mark(region.onset());
    }
    finish();
    sink.accept(region);
  }

  /** Lets go of what is held back. */
  void finish() {
    held.forEach(sink);
    held.clear();
  }

  /** Onset of the first region that is held back; {@code none} where none is. */
  long heldFrom(long none) {
    return held.isEmpty() ? none : held.get(0).start();
  }

  private Region last() {
    return held.get(held.size() - 1);
  }

  /** Marks the beats that lead up to a note. */
  private void mark(long onset) {
    int beats = 0;
    long next = onset;
    double beat = held.isEmpty() ? 0 : onset - last().onset();
    while (beats < held.size() && isBeat(beat)) {
      long at = held.get(held.size() - 1 - beats).onset();
      if (Math.abs(next - at - beat) > OFF * beat) {
        break;
      }
      beats++;
      next = at;
    }
    if (beats < LEAST) {
      return;
    }
    for (int i = held.size() - beats; i < held.size(); i++) {
      Region region = held.get(i);
      held.set(i, region.marked(true, Flags.with(region.flags(), Flag.COUNT_IN)));
    }
  }

  private boolean isBeat(double frames) {
    double seconds = frames / sampleRate;
    return seconds >= SHORTEST_BEAT_S && seconds <= LONGEST_BEAT_S;
  }
}
