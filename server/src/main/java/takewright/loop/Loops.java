package takewright.loop;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import takewright.audio.Clip;
import takewright.dsp.Fft;

/**
 * Finds a loop by which a sustained note can be held.
 *
 * <p>Over the steady part, pairs of places that sound alike in level, colour and pitch, away from
 * bow changes, are compared by their waveforms, so that a loop comes out as whole periods; of the
 * best ones the seam is rendered and listened to, by the measures that a loop is good by. None is
 * given where none passes.
 */
public final class Loops {
  /** The steady part lies within so many dB of the note's level. */
  private static final double STEADY_DB = 6;

  /** And so far from its ends, in seconds: attack and release are no part of it. */
  private static final double ATTACK_S = 0.15;

  private static final double RELEASE_S = 0.1;

  /** Within a loop the level, smoothed over 0.3 s, moves by no more, in dB: it would pump. */
  private static final double MOST_RANGE_DB = 4;

  private static final double SMOOTH_S = 0.3;

  /** Pairs whose waveforms are compared, and of which the seam is listened to. */
  private static final int COMPARED = 40;

  /**
   * A good seam costs about so much more than its pair: whatever is alike in less is not looked
   * for. It halves the time where most places will do, and 32 loops of 32 stay loops.
   */
  private static final double LEAST_SEAM = 0.6;

  /** Seconds on either side of two places that are compared. */
  private static final double REACH_S = 0.08;

  /** Waveforms less alike than this beat against each other in the fade. */
  private static final double LEAST_LIKENESS = 0.8;

  /** What is not heard over a seam: 1 dB, 5 %, 1 cent. */
  private static final double MOST_DB = 1;

  private static final double MOST_COLOUR = 0.05;
  private static final double MOST_CENTS = 1;

  private Loops() {}

  /** The best loop of a sample, or why there is none. The sample is left as it is. */
  public static LoopResult apply(Clip sample, LoopSettings settings) {
    return new Search(sample.mono(), sample.sampleRate(), settings).run();
  }

  /** Two places that sound alike, in samples. */
  private record Pair(int start, int end, double cost) {}

  private static final class Search {
    private final float[] x;
    private final int rate;
    private final LoopSettings settings;
    private final Features features;
    private final int hop;
    private final double[] smooth;
    private int first;
    private int last;

    Search(float[] x, int rate, LoopSettings settings) {
      this.x = x;
      this.rate = rate;
      this.settings = settings;
      boolean any = x.length > settings.shortestS() * rate;
      this.features = any ? new Features(x, rate, settings.frequencyHz()) : null;
      this.hop = any ? features.hop : 1;
      this.smooth = any ? smoothed() : null;
    }

    LoopResult run() {
      if (features == null || !steady()) {
        return LoopResult.none("short");
      }
      List<Pair> pairs = pairs();
      if (pairs.isEmpty()) {
        return LoopResult.none(changesEverywhere() ? "change" : "unsteady");
      }
      Seam best = null;
      for (Pair pair : pairs.subList(0, Math.min(COMPARED, pairs.size()))) {
        double most = best == null ? Double.MAX_VALUE : best.cost();
        if (pair.cost() + LEAST_SEAM >= most) {
          break;
        }
        Seam seam = refine(pair, most);
        if (seam != null && seam.cost() < most) {
          best = seam;
        }
      }
      if (best == null) {
        return LoopResult.none("waveform");
      }
      String reason = best.reason();
      return new LoopResult(reason.isEmpty() ? best.loop() : null, reason, best.likeness());
    }

    /** Finds the steady part, in points; false where it holds no loop. */
    private boolean steady() {
      double[] level = features.level;
      double loudest = Arrays.stream(smooth).max().orElse(0);
      double[] sounding = Arrays.stream(smooth).filter(l -> l > loudest - 20).sorted().toArray();
      double reference = sounding[(int) (0.75 * (sounding.length - 1))];
      first = 0;
      while (first < level.length && smooth[first] < reference - STEADY_DB) {
        first++;
      }
      last = level.length - 1;
      while (last > first && smooth[last] < reference - STEADY_DB) {
        last--;
      }
      first += points(ATTACK_S);
      last -= points(RELEASE_S);
      return (last - first) * hop >= (settings.shortestS() + fadeS()) * rate;
    }

    /** At least three periods are faded, however low the note. */
    private double fadeS() {
      return Math.max(settings.fadeS(), 3 / settings.frequencyHz());
    }

    private int points(double seconds) {
      return (int) Math.ceil(seconds * rate / hop);
    }

    private double[] smoothed() {
      double[] level = features.level;
      int half = Math.max(1, points(SMOOTH_S / 2));
      double[] smoothed = new double[level.length];
      for (int p = 0; p < level.length; p++) {
        double sum = 0;
        int from = Math.max(0, p - half);
        int to = Math.min(level.length, p + half + 1);
        for (int i = from; i < to; i++) {
          sum += level[i];
        }
        smoothed[p] = sum / (to - from);
      }
      return smoothed;
    }

    private boolean changesEverywhere() {
      int changes = 0;
      for (int p = first; p < last; p++) {
        changes += features.change[p] ? 1 : 0;
      }
      return 5 * changes > last - first;
    }

    /** For each start its best end, the most alike first. */
    private List<Pair> pairs() {
      int fade = points(fadeS());
      int shortest = points(settings.shortestS());
      int longest = points(settings.longestS());
      int reach = points(REACH_S);
      double[] pitchSum = new double[features.cents.length + 1];
      int[] changes = new int[features.change.length + 1];
      for (int p = 0; p < features.cents.length; p++) {
        pitchSum[p + 1] = pitchSum[p] + features.cents[p];
        changes[p + 1] = changes[p] + (features.change[p] ? 1 : 0);
      }
      double note = Features.median(features.cents, first, last);
      List<Pair> pairs = new ArrayList<>();
      for (int s = first + fade; s + shortest <= last - reach; s++) {
        if (changes[s + reach] - changes[s - fade] > 0) {
          continue;
        }
        Pair best = null;
        double low = Double.MAX_VALUE;
        double high = -Double.MAX_VALUE;
        for (int e = s; e <= Math.min(last - reach, s + longest); e++) {
          low = Math.min(low, smooth[e]);
          high = Math.max(high, smooth[e]);
          if (high - low > MOST_RANGE_DB) {
            break;
          }
          if (e - s < shortest || changes[e + reach] - changes[e - fade] > 0) {
            continue;
          }
          double off = (pitchSum[e] - pitchSum[s]) / (e - s) - note;
          double lengthS = (double) (e - s) * hop / rate;
          // A change of bow within is heard again and again; a short loop is heard as one.
          double cost =
              features.difference(s, e, reach)
                  + off * off
                  + 0.5 / lengthS
                  + (changes[e] - changes[s] > 0 ? 2 : 0);
          if (best == null || cost < best.cost()) {
            best = new Pair(s * hop, e * hop, cost);
          }
        }
        if (best != null) {
          pairs.add(best);
        }
      }
      pairs.sort(Comparator.comparingDouble(Pair::cost));
      return pairs;
    }

    /**
     * Moves the end to where the waveform is most like the start's; null where it is not, or where
     * the seam is sure to cost more than another.
     */
    private Seam refine(Pair pair, double mostCost) {
      double period = rate / settings.frequencyHz();
      int fade = (int) (fadeS() * rate);
      // The fade and a little of what follows it.
      int length = fade + (int) Math.max(0.02 * rate, 2 * period);
      int reach = (int) Math.max(1.2 * period, 0.004 * rate);
      int from = pair.start() - fade;
      int at = pair.end() - fade - reach;
      if (from < 0 || at < 0 || at + length + 2 * reach > x.length) {
        return null;
      }
      int size = Integer.highestOneBit(length + 2 * reach) * 2;
      Fft fft = Fft.of(size);
      float[] a = Arrays.copyOf(Arrays.copyOfRange(x, from, from + length), size);
      float[] b = Arrays.copyOf(Arrays.copyOfRange(x, at, at + length + 2 * reach), size);
      correlate(fft, a, b);
      double own = energy(from, length);
      double energy = energy(at, length);
      int best = 0;
      double most = -1;
      for (int lag = 0; lag <= 2 * reach; lag++) {
        double like = b[lag] / Math.sqrt(own * energy + 1e-30);
        if (like > most) {
          most = like;
          best = lag;
        }
        energy += (double) x[at + lag + length] * x[at + lag + length];
        energy -= (double) x[at + lag] * x[at + lag];
      }
      int end = at + best + fade;
      if (most < LEAST_LIKENESS || end - pair.start() < fade) {
        return null;
      }
      double cost = Seam.cost(pair.cost(), most);
      return cost >= mostCost
          ? null
          : listen(new Loop(pair.start(), end - 1, fade), most, pair.cost());
    }

    private double energy(int from, int length) {
      double sum = 1e-12;
      for (int i = from; i < from + length; i++) {
        sum += (double) x[i] * x[i];
      }
      return sum;
    }

    /** Leaves the correlation of a with b, moved by each lag, in b. */
    private static void correlate(Fft fft, float[] a, float[] b) {
      fft.forward(a);
      fft.forward(b);
      Fft.multiplyConjugate(a, b);
      fft.inverse(b);
    }

    /** Renders a seam and measures what is heard over it. */
    private Seam listen(Loop loop, double likeness, double cost) {
      int length = loop.end() + 1 - loop.start();
      int window = (int) (Math.max(0.1, 6 / settings.frequencyHz()) * rate);
      window = Math.min(window, length);
      // What is played from a window before the seam to one behind it.
      float[] tail = Arrays.copyOfRange(x, loop.start() - loop.fade(), loop.end() + 1);
      CrossFade.apply(tail, new Loop(loop.fade(), tail.length - 1, loop.fade()));
      double before = level(tail, tail.length - window, window);
      double after = level(x, loop.start(), window);
      double colourBefore = Colour.centroid(tail, tail.length - window, window, rate);
      double colourAfter = Colour.centroid(x, loop.start(), window, rate);
      return new Seam(
          loop,
          likeness,
          cost,
          Math.abs(after - before),
          Math.abs(colourAfter / colourBefore - 1),
          Math.abs(cents(loop)));
    }

    /** How far the loop's pitch lies from the note's: both are the middle of what is heard. */
    private double cents(Loop loop) {
      int to = Math.min(features.cents.length, (loop.end() + 1) / hop);
      return Features.median(features.cents, loop.start() / hop, to);
    }

    private static double level(float[] audio, int from, int count) {
      double sum = 1e-20;
      for (int i = from; i < from + count; i++) {
        sum += (double) audio[i] * audio[i];
      }
      return 10 * Math.log10(sum / count);
    }
  }

  /** A loop and what is heard over its seam. */
  private record Seam(
      Loop loop, double likeness, double pairCost, double db, double colour, double cents) {
    /** What a seam costs before it is listened to. */
    static double cost(double pairCost, double likeness) {
      return pairCost + 10 * (1 - likeness);
    }

    double cost() {
      return cost(pairCost, likeness)
          + db * db
          + colour * colour / MOST_COLOUR / MOST_COLOUR
          + cents * cents
          + (reason().isEmpty() ? 0 : 100);
    }

    String reason() {
      return db > MOST_DB
          ? "level"
          : colour > MOST_COLOUR ? "timbre" : cents > MOST_CENTS ? "pitch" : "";
    }
  }
}
