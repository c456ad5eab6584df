package takewright.loop;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import takewright.audio.Clip;

/**
 * Finds a loop by which a sustained note can be held.
 *
 * <p>Over the steady part, pairs of moments that sound alike in level, timbre and pitch, and whose
 * vibrato is in step, are ranked by one cost; the waveforms of the best are laid over each other,
 * so that a loop comes out as whole periods, and what is heard at the seam is measured. A loop is
 * good where nothing can be heard, fair where a careful listener hears it, and there is none where
 * the note is too short or never steady. A struck or plucked note, which dies away by itself, gets
 * a good loop or none: a fair one would only add a pulse to it.
 *
 * <p>The cost is a sum of squares, each 1 where a careful listener begins to hear it: 1 dB of
 * level, 5 % of the spectral centroid, 1 cent, and a tenth of the waveform's power that is not in
 * step. Short loops cost more where the note lives, since what comes back every second is heard as
 * a pulse.
 */
public final class LoopSearch {
  /** Pairs whose waveforms are compared: about one a tenth of a second of a long note. */
  private static final int COMPARED = 120;

  /** And so many where none of these is good: a high note's vibrato is rarely in step. */
  private static final int MAX_COMPARED = 600;

  /**
   * A seam costs about so much beyond its pair even where it is good. Pairs that cost more than the
   * best loop so far less this are not looked at.
   */
  private static final double SEAM_COST = 0.4;

  private LoopSearch() {}

  /** The best loop of a sample, or why there is none. The sample is left as it is. */
  public static LoopResult apply(Clip sample, LoopSettings settings) {
    float[] x = sample.mono();
    int rate = sample.sampleRate();
    if (x.length <= settings.minLengthS() * rate) {
      return LoopResult.none(LoopFault.SHORT);
    }
    NoteCourse course = new NoteCourse(x, rate, settings.frequencyHz());
    Ticks hiss = new Ticks(x, rate);
    SteadyPart steady = SteadyPart.of(course, rate);
    Candidates candidates = new Candidates(course, hiss, steady, settings, rate);
    if (!candidates.hasRoom()) {
      return LoopResult.none(candidates.wouldHaveRoom() ? LoopFault.UNSTEADY : LoopFault.SHORT);
    }
    List<Pair> pairs = candidates.find();
    if (pairs.isEmpty()) {
      return LoopResult.none(
          course.changesEverywhere(steady) ? LoopFault.CHANGE : LoopFault.UNSTEADY);
    }
    SeamMeter meter = new SeamMeter(x, rate, settings, course, hiss, steady);
    Seam best = best(pairs, null, meter);
    if (!isGood(best) && !steady.diesAway()) {
      best = best(candidates.findMore(), best, meter);
    }
    if (best == null || !best.isUsable()) {
      return LoopResult.none(best == null ? LoopFault.WAVEFORM : best.worst());
    }
    if (steady.diesAway() && best.fault() != null) {
      return LoopResult.none(best.fault());
    }
    return new LoopResult(best.loop(), best.fault(), best.likeness());
  }

  /** The best seam of some pairs, or the one found so far; null if there is none. */
  private static Seam best(List<Pair> pairs, Seam found, SeamMeter meter) {
    List<Pair> cheapestFirst = new ArrayList<>(pairs);
    cheapestFirst.sort(Comparator.comparingDouble(Pair::cost));
    Seam best = found;
    for (int i = 0; i < Math.min(MAX_COMPARED, cheapestFirst.size()); i++) {
      Pair pair = cheapestFirst.get(i);
      boolean isBest = best != null && pair.cost() + SEAM_COST >= best.cost();
      if (isBest || isGood(best) && i >= COMPARED) {
        break;
      }
      Seam seam = meter.measure(pair, best == null ? Double.POSITIVE_INFINITY : best.cost());
      if (seam != null && (best == null || seam.cost() < best.cost())) {
        best = seam;
      }
    }
    return best;
  }

  private static boolean isGood(Seam seam) {
    return seam != null && seam.fault() == null;
  }

  /**
   * Two moments that sound alike.
   *
   * @param start frame at which a loop may begin
   * @param end frame that would follow its last
   * @param cost of what differs, and of the length
   */
  record Pair(int start, int end, double cost) {}
}
