package takewright.loop;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import takewright.audio.Clip;
import takewright.dsp.Fft;
import takewright.dsp.Rows;

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
  private static final double MAX_RANGE_DB = 4;

  private static final double SMOOTH_S = 0.3;

  /** The pitch is smoothed over this, in seconds: as long as a tuner listens at a time. */
  private static final double PITCH_S = 0.1;

  /** Pairs whose waveforms are compared, and of which the seam is listened to. */
  private static final int COMPARED = 160;

  /**
   * A good seam costs about so much more than its pair: whatever is alike in less is not looked
   * for. It halves the time where most places will do, and 32 loops of 32 stay loops.
   */
  private static final double MIN_SEAM = 0.6;

  /** Seconds on either side of two places that are compared. */
  private static final double REACH_S = 0.08;

  /**
   * Places are compared at about this rate first, in hertz, since the lower partials tell which
   * periods fit; then, around the best, at the sample's own.
   */
  private static final int COARSE_HZ = 12_000;

  /** Waveforms less alike than this beat against each other in the fade. */
  private static final double MIN_LIKENESS = 0.8;

  /** What is not heard over a seam: 1 dB, 5 %, 1 cent. */
  private static final double MAX_DB = 1;

  private static final double MAX_COLOUR = 0.05;
  private static final double MAX_CENTS = 1;

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

    /**
     * Samples of the fade, of what two waveforms are compared in, and of how far they are moved.
     */
    private final int fade;

    private final int length;
    private final int reach;

    /** Samples on either side of a seam that are listened to. */
    private final int window;

    private final Colour colour;
    private final double[] fadeIn;

    /** Means of so many samples, by which places are compared first. */
    private final int step;

    private final float[] coarse;
    private final Fft fft;
    private final float[] here;
    private final float[] there;
    private final Rows exactHere;
    private final Rows exactThere;

    /** The pitch by point, smoothed, in cents. */
    private final double[] slow;

    /** Energy of all samples before one. */
    private final double[] energy;

    private int first;
    private int last;

    Search(float[] x, int rate, LoopSettings settings) {
      this.x = x;
      this.rate = rate;
      this.settings = settings;
      boolean any = x.length > settings.minLengthS() * rate;
      this.features = any ? new Features(x, rate, settings.frequencyHz()) : null;
      this.hop = any ? features.hop : 1;
      this.smooth = any ? smoothed(features.level, SMOOTH_S) : null;
      this.slow = any ? smoothed(features.cents, PITCH_S) : null;
      double period = rate / settings.frequencyHz();
      fade = (int) (fadeS() * rate);
      // The fade and a little of what follows it.
      length = fade + (int) Math.max(0.02 * rate, 2 * period);
      reach = (int) Math.max(1.2 * period, 0.004 * rate);
      window = (int) (Math.max(0.1, 6 / settings.frequencyHz()) * rate);
      colour = new Colour(rate);
      fadeIn = CrossFade.in(fade);
      step = Math.max(1, rate / COARSE_HZ);
      coarse = new float[x.length / step];
      for (int i = 0; i < coarse.length; i++) {
        for (int k = 0; k < step; k++) {
          coarse[i] += x[i * step + k] / step;
        }
      }
      fft = Fft.of(Integer.highestOneBit((length + 2 * reach) / step) * 2);
      here = new float[fft.size()];
      there = new float[fft.size()];
      exactHere = new Rows(length);
      exactThere = new Rows(length);
      energy = new double[any ? x.length + 1 : 1];
      for (int i = 1; i < energy.length; i++) {
        energy[i] = energy[i - 1] + (double) x[i - 1] * x[i - 1];
      }
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
        double max = best == null ? Double.MAX_VALUE : best.cost();
        if (pair.cost() + MIN_SEAM >= max) {
          break;
        }
        Seam seam = refine(pair, max);
        if (seam != null && seam.cost() < max) {
          best = seam;
        }
      }
      if (best == null) {
        return LoopResult.none("waveform");
      }
      String reason = best.reason();
      if (reason.isEmpty() && !isInTune(best.loop())) {
        // Too long a look to have at every pair.
        reason = "pitch";
      }
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
      return (last - first) * hop >= (settings.minLengthS() + fadeS()) * rate;
    }

    /** At least three periods are faded, however low the note. */
    private double fadeS() {
      return Math.max(settings.fadeS(), 3 / settings.frequencyHz());
    }

    private int points(double seconds) {
      return (int) Math.ceil(seconds * rate / hop);
    }

    private double[] smoothed(double[] values, double seconds) {
      int half = Math.max(1, points(seconds / 2));
      double[] smoothed = new double[values.length];
      for (int p = 0; p < values.length; p++) {
        double sum = 0;
        int from = Math.max(0, p - half);
        int to = Math.min(values.length, p + half + 1);
        for (int i = from; i < to; i++) {
          sum += values[i];
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
      int faded = points(fadeS());
      int shortest = points(settings.minLengthS());
      int longest = points(settings.maxLengthS());
      int around = points(REACH_S);
      double[] pitchSum = new double[features.cents.length + 1];
      int[] changes = new int[features.change.length + 1];
      for (int p = 0; p < features.cents.length; p++) {
        pitchSum[p + 1] = pitchSum[p] + features.cents[p];
        changes[p + 1] = changes[p] + (features.change[p] ? 1 : 0);
      }
      List<Pair> pairs = new ArrayList<>();
      for (int s = first + faded; s + shortest <= last - around; s++) {
        if (changes[s + around] - changes[s - faded] > 0) {
          continue;
        }
        Pair best = null;
        double low = Double.MAX_VALUE;
        double high = -Double.MAX_VALUE;
        for (int e = s; e <= Math.min(last - around, s + longest); e++) {
          low = Math.min(low, smooth[e]);
          high = Math.max(high, smooth[e]);
          if (high - low > MAX_RANGE_DB) {
            break;
          }
          if (e - s < shortest || changes[e + around] - changes[e - faded] > 0) {
            continue;
          }
          double off = (pitchSum[e] - pitchSum[s]) / (e - s);
          double lengthS = (double) (e - s) * hop / rate;
          // A change of bow within is heard again and again; a short loop is heard as one.
          double min = off * off + 0.5 / lengthS + (changes[e] - changes[s] > 0 ? 2 : 0);
          if (best != null && min >= best.cost()) {
            continue;
          }
          double cost = features.difference(s, e, around) + min;
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
    private Seam refine(Pair pair, double maxCost) {
      int from = pair.start() - fade;
      int at = pair.end() - fade - reach;
      if (from < 0 || at < 0 || at + length + 2 * reach > x.length) {
        return null;
      }
      int coarsely = coarseLag(from, at);
      exactHere.load(x, from, length);
      double own = energy(from, length);
      int best = 0;
      double max = -1;
      int last = Math.min(2 * reach, coarsely + step);
      for (int lag = Math.max(0, coarsely - step); lag <= last; lag++) {
        exactThere.load(x, at + lag, length);
        double product = exactHere.dot(exactThere);
        double like = product / Math.sqrt(own * energy(at + lag, length) + 1e-30);
        if (like > max) {
          max = like;
          best = lag;
        }
      }
      int end = at + best + fade;
      boolean isLoop = max >= MIN_LIKENESS && end - pair.start() >= fade;
      return isLoop ? listen(new Loop(pair.start(), end - 1, fade), max, pair, maxCost) : null;
    }

    /**
     * The lag behind {@code at}, to within a step, at which the sound is most like that at {@code
     * from}.
     */
    private int coarseLag(int from, int at) {
      load(here, from / step, length / step);
      load(there, at / step, (length + 2 * reach) / step);
      fft.forward(here);
      fft.forward(there);
      Fft.multiplyConjugate(here, there);
      fft.inverse(there);
      int best = 0;
      double max = -1;
      for (int lag = 0; lag <= 2 * reach / step; lag++) {
        double like = there[lag] / Math.sqrt(energy(at + lag * step, length) + 1e-30);
        if (like > max) {
          max = like;
          best = lag;
        }
      }
      return best * step + from % step - at % step;
    }

    private void load(float[] to, int from, int count) {
      System.arraycopy(coarse, from, to, 0, count);
      Arrays.fill(to, count, to.length, 0);
    }

    private double energy(int from, int count) {
      return energy[from + count] - energy[from];
    }

    /**
     * Renders a seam and measures what is heard over it; null as soon as it costs more than
     * another.
     */
    private Seam listen(Loop loop, double likeness, Pair pair, double maxCost) {
      Seam seam = new Seam(loop, likeness, pair.cost(), 0, 0, 0);
      if (seam.cost() >= maxCost) {
        return null;
      }
      int count = Math.min(window, loop.end() + 1 - loop.start());
      float[] before = CrossFade.end(x, loop, count, fadeIn);
      double db = Math.abs(level(energy(loop.start(), count), count) - level(before));
      seam = new Seam(loop, likeness, pair.cost(), db, 0, cents(loop));
      if (seam.cost() >= maxCost) {
        return null;
      }
      double centroid = colour.centroid(x, loop.start(), count);
      double moved = Math.abs(centroid / colour.centroid(before, 0, count) - 1);
      return new Seam(loop, likeness, pair.cost(), db, moved, seam.cents());
    }

    /**
     * How far the loop's pitch lies from the note's, in cents: that of the whole periods that it
     * holds, which is what is heard of it in the long run, or the middle of what is heard at a
     * time, whichever is further off.
     */
    private double cents(Loop loop) {
      int from = loop.start() / hop;
      int to = Math.min(features.cents.length, (loop.end() + 1) / hop);
      double middle = Features.median(slow, from, to);
      double perFrame = settings.frequencyHz() / rate;
      int length = loop.end() + 1 - loop.start();
      double periods = Math.rint(length * perFrame * Math.pow(2, mean(from, to) / 1200));
      double whole = 1200 / Math.log(2) * Math.log(periods / length / perFrame);
      return Math.max(Math.abs(middle), Math.abs(whole));
    }

    /** Whether all periods of a loop, counted, make the note's pitch. */
    private boolean isInTune(Loop loop) {
      int length = loop.end() + 1 - loop.start();
      double cyclesASample = settings.frequencyHz() / rate;
      return Math.abs(MeanPitch.cents(x, loop.start(), length, cyclesASample)) <= MAX_CENTS;
    }

    /** Mean of the pitch from a point to another, in cents. */
    private double mean(int from, int to) {
      return Arrays.stream(features.cents, from, to).average().orElse(0);
    }

    private static double level(float[] audio) {
      double sum = 0;
      for (float value : audio) {
        sum += (double) value * value;
      }
      return level(sum, audio.length);
    }

    private static double level(double energy, int count) {
      return 10 * Math.log10((energy + 1e-20) / count);
    }
  }

  /** A loop and what is heard over its seam. */
  private record Seam(
      Loop loop, double likeness, double pairCost, double db, double colour, double cents) {
    double cost() {
      return pairCost
          + 10 * (1 - likeness)
          + db * db
          + colour * colour / MAX_COLOUR / MAX_COLOUR
          + cents * cents
          + (reason().isEmpty() ? 0 : 100);
    }

    String reason() {
      return db > MAX_DB
          ? "level"
          : colour > MAX_COLOUR ? "timbre" : cents > MAX_CENTS ? "pitch" : "";
    }
  }
}
