package takewright.library.match;

import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.function.IntPredicate;
import java.util.stream.Collectors;
import takewright.dsp.Cents;
import takewright.dsp.Medians;
import takewright.segment.Region;
import takewright.sheet.cell.Cell;

/**
 * How like the other notes of its take a region is, in how sure its pitch is, how well in tune, how
 * loud and how long: all by what the take itself shows.
 *
 * <p>A word may hold a vowel long enough to pass for a note. It is less sure than the take's notes
 * are, and then it must be in tune and like the notes around it to be one.
 */
final class Likeness {
  /** Least spread of how sure notes are, as a share of votes. */
  private static final double MIN_SPREAD = 0.1;

  /** Spreads below the take's median from which a pitch is doubted, and is doubted wholly. */
  private static final double DOUBTED = 2;

  private static final double WEAK = 4;

  /** Least spread of a player's tuning, in cents. Common practice. */
  private static final double MIN_TUNING_CENTS = 12;

  /** Further than this from a note, in cents, a doubted pitch is misheard, and says nothing. */
  private static final double NOTE_CENTS = 60;

  /** What it costs that the pitch then says nothing. */
  private static final double OTHER_NOTE = 2;

  /** The most that a length or level unlike the others can cost. */
  private static final double MAX_UNLIKE_COST = 9;

  /** 6 dB or half an octave of length are as unlike as a usual spread. */
  private static final double LEVEL_SPREAD_DB = 6;

  private static final double LENGTH_SPREAD_OCTAVES = 0.5;

  /** Notes before and behind with which a doubted one is compared. */
  private static final int AROUND = 3;

  /** The median absolute deviation of normal values is this share of their spread. */
  private static final double MAD_SHARE = 0.6745;

  /**
   * Sounds so far below the loud ones, in dB, are none of a take's notes, however many: a click
   * from the headphones is heard more often than the notes. Two dynamics lie 10 dB apart.
   */
  private static final double FAR_SOFTER_DB = 30;

  /** The level that one sound in ten passes is that of the loud ones. */
  private static final double LOUD_QUANTILE = 0.9;

  private final List<Region> regions;

  /** What those are like that may be notes of the take by their level. */
  private final MedianSound usual;

  /**
   * Those regions that are loud enough and notes of the sheet by their pitch: birds, keys and words
   * show nothing of what the take's notes are like.
   */
  private final List<Region> notes;

  private final double usualConfidence;
  private final double confidenceSpread;
  private final double usualCents;
  private final double tuningSpread;

  /** Of each doubted region, what it costs to be unlike the notes around it; else 0. */
  private final double[] unlikeAround;

  /**
   * Learns what the notes of a take have in common.
   *
   * @param cells of the sheet
   */
  Likeness(List<Region> regions, List<Cell> cells) {
    this.regions = regions;
    List<Region> loudEnough = loudEnough(regions);
    usual = MedianSound.of(loudEnough);
    notes = notes(loudEnough, cells);
    double[] confidences =
        notes.stream().mapToDouble(region -> region.pitch().confidence()).toArray();
    usualConfidence = median(confidences);
    confidenceSpread = Math.max(MIN_SPREAD, spread(confidences, usualConfidence));
    double[] cents =
        notes.stream()
            .filter(region -> weakness(region) == 0)
            .mapToDouble(region -> region.pitch().cents())
            .toArray();
    usualCents = median(cents);
    tuningSpread = Math.max(MIN_TUNING_CENTS, spread(cents, usualCents));
    unlikeAround = new double[regions.size()];
    for (int i = 0; i < unlikeAround.length; i++) {
      unlikeAround[i] = weakness(i) > 0 ? unlikeAround(i) : 0;
    }
  }

  private static List<Region> loudEnough(List<Region> regions) {
    List<Region> notes = regions.stream().filter(region -> !region.rejected()).toList();
    double[] peaks = notes.stream().mapToDouble(Region::peakDbfs).sorted().toArray();
    if (peaks.length == 0) {
      return notes;
    }
    double softest = peaks[(int) (LOUD_QUANTILE * (peaks.length - 1))] - FAR_SOFTER_DB;
    return notes.stream().filter(region -> region.peakDbfs() >= softest).toList();
  }

  private static List<Region> notes(List<Region> loudEnough, List<Cell> cells) {
    Set<Integer> asked = cells.stream().map(Cell::midi).collect(Collectors.toSet());
    return loudEnough.stream()
        .filter(region -> isPitched(region) && asked.contains(region.pitch().midi()))
        .toList();
  }

  private static boolean isPitched(Region region) {
    return !region.rejected() && region.pitch() != null;
  }

  private static double median(double[] values) {
    return values.length == 0 ? 0 : Medians.of(values);
  }

  private static double spread(double[] values, double median) {
    double[] off = new double[values.length];
    for (int i = 0; i < off.length; i++) {
      off[i] = Math.abs(values[i] - median);
    }
    return median(off) / MAD_SHARE;
  }

  /** How far a region is less sure than the take's notes are, 0 (as they) to 1 (doubtful). */
  double weakness(int region) {
    return weakness(regions.get(region));
  }

  private double weakness(Region region) {
    if (!isPitched(region)) {
      return 0;
    }
    double below = (usualConfidence - region.pitch().confidence()) / confidenceSpread;
    return Math.max(0, Math.min(1, (below - DOUBTED) / (WEAK - DOUBTED)));
  }

  /** What it costs that a doubted region is to be a note of the take. */
  double cost(int region, int midi) {
    double weakness = weakness(region);
    if (weakness == 0) {
      return 0;
    }
    double off = 100 * (Attempts.semitones(regions.get(region)) - midi) - usualCents;
    double folded = Cents.withinOctave(off);
    double spreads = folded / tuningSpread;
    double tuning =
        Math.abs(folded) > NOTE_CENTS
            ? OTHER_NOTE
            : Math.min(MAX_UNLIKE_COST, spreads * spreads / 2);
    return weakness * (tuning + unlikeAround[region]);
  }

  /**
   * What it costs to be unlike the sure notes around it, or, where that costs less, unlike the same
   * note played again.
   */
  private double unlikeAround(int region) {
    Region doubted = regions.get(region);
    double cost = MedianSound.of(around(region, i -> weakness(i) == 0)).unlike(doubted, true);
    if (!notes.contains(doubted)) {
      return cost;
    }
    int midi = doubted.pitch().midi();
    List<Region> again = around(region, i -> regions.get(i).pitch().midi() == midi);
    // At another dynamic, perhaps.
    return again.isEmpty() ? cost : Math.min(cost, MedianSound.of(again).unlike(doubted, false));
  }

  /** The notes nearest to a region, some before it and as many behind it, that may be compared. */
  private List<Region> around(int region, IntPredicate isCompared) {
    List<Region> around = new ArrayList<>();
    for (int step : new int[] {-1, 1}) {
      int found = 0;
      for (int i = region + step; i >= 0 && i < regions.size() && found < AROUND; i += step) {
        if (notes.contains(regions.get(i)) && isCompared.test(i)) {
          around.add(regions.get(i));
          found++;
        }
      }
    }
    return around;
  }

  /**
   * What it costs that a region is unlike the other sounds of the take in length.
   *
   * @param withLevel whether its level counts as well
   */
  double unlike(int region, boolean withLevel) {
    return usual.unlike(regions.get(region), withLevel);
  }

  /**
   * What some sounds are like.
   *
   * @param peakDbfs median of their peaks, in dBFS; NaN of none
   * @param frames median of their lengths
   */
  private record MedianSound(double peakDbfs, double frames) {
    static MedianSound of(List<Region> regions) {
      return regions.isEmpty()
          ? new MedianSound(Double.NaN, 0)
          : new MedianSound(
              Medians.of(regions.stream().mapToDouble(Region::peakDbfs).toArray()),
              Medians.of(regions.stream().mapToDouble(r -> r.end() - r.onset()).toArray()));
    }

    double unlike(Region region, boolean withLevel) {
      if (Double.isNaN(peakDbfs)) {
        return 0;
      }
      double peak = withLevel ? (region.peakDbfs() - peakDbfs) / LEVEL_SPREAD_DB : 0;
      double octaves =
          Math.log((region.end() - region.onset()) / Math.max(1, frames)) / Math.log(2);
      double length = octaves / LENGTH_SPREAD_OCTAVES;
      return Math.min(MAX_UNLIKE_COST, (peak * peak + length * length) / 2);
    }
  }
}
