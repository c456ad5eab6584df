package takewright.library.sample;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import takewright.dsp.Medians;
import takewright.sheet.cell.Cell;

/**
 * How far the notes of a take are off, seen together. A note that is heard uncertainly leans on its
 * neighbours, the other round robins and dynamics of the same note: its best estimate is the mean
 * of what is heard of it and what its neighbours let expect, each weighted by the inverse of its
 * variance (empirical Bayes: Efron and Morris, "Data analysis using Stein's estimator and its
 * generalizations", JASA 70, 1975). How closely a player repeats a note is taken from the take.
 */
public final class Intonation {
  /** Notes known better than this, in cents, are taken as they are heard. */
  private static final double CERTAIN_CENTS = 4;

  /** No player repeats a note more closely than this, in cents. */
  private static final double MIN_REPEAT_CENTS = 3;

  /** A median absolute difference of two normal values times this is the spread of one. */
  private static final double SPREAD_OF_DIFFERENCE = 1.4826 / Math.sqrt(2);

  private Intonation() {}

  /**
   * One note as it was heard.
   *
   * @param cell the cell that it fills
   * @param cents how far it is off the cell's note, in cents, within half an octave
   * @param uncertaintyCents one standard deviation of that, in cents
   */
  public record HeardNote(Cell cell, double cents, double uncertaintyCents) {}

  /**
   * What to add to what was heard of each note, in cents; 0 where it is certain, has no neighbours
   * or was not listened to.
   *
   * @param heard the notes of one take; null for those that were not listened to
   */
  public static double[] leans(List<HeardNote> heard) {
    Map<Integer, List<HeardNote>> notes = new HashMap<>();
    for (HeardNote note : heard) {
      if (note != null) {
        notes.computeIfAbsent(note.cell().midi(), midi -> new ArrayList<>()).add(note);
      }
    }
    double repeat = repeat(notes);
    double[] leans = new double[heard.size()];
    for (int i = 0; i < leans.length; i++) {
      HeardNote note = heard.get(i);
      if (note != null && note.uncertaintyCents() > CERTAIN_CENTS) {
        leans[i] = lean(note, notes.get(note.cell().midi()), repeat);
      }
    }
    return leans;
  }

  /** How far the same note differs from one time to the next, in cents: one standard deviation. */
  private static double repeat(Map<Integer, List<HeardNote>> notes) {
    double spread = spread(notes, CERTAIN_CENTS);
    // Where hardly a note is certain, its uncertainty counts as the player's.
    spread = Double.isNaN(spread) ? spread(notes, Double.POSITIVE_INFINITY) : spread;
    return Math.max(MIN_REPEAT_CENTS, Double.isNaN(spread) ? 0 : spread);
  }

  /** That of notes that are known so well; NaN where no two of one pitch are. */
  private static double spread(Map<Integer, List<HeardNote>> notes, double maxUncertainty) {
    List<Double> differences = new ArrayList<>();
    for (List<HeardNote> same : notes.values()) {
      double[] cents =
          same.stream()
              .filter(note -> note.uncertaintyCents() <= maxUncertainty)
              .mapToDouble(HeardNote::cents)
              .toArray();
      for (int i = 0; i < cents.length; i++) {
        for (int j = 0; j < i; j++) {
          differences.add(Math.abs(cents[i] - cents[j]));
        }
      }
    }
    double[] all = differences.stream().mapToDouble(d -> d).toArray();
    return SPREAD_OF_DIFFERENCE * Medians.of(all, all.length);
  }

  private static double lean(HeardNote note, List<HeardNote> same, double repeat) {
    double weight = 0;
    double sum = 0;
    for (HeardNote other : same) {
      if (other != note) {
        double variance = square(other.uncertaintyCents()) + square(repeat);
        weight += 1 / variance;
        sum += other.cents() / variance;
      }
    }
    if (weight == 0) {
      return 0;
    }
    double own = 1 / square(note.uncertaintyCents());
    double neighbours = 1 / (square(repeat) + 1 / weight);
    return (sum / weight - note.cents()) * neighbours / (own + neighbours);
  }

  private static double square(double x) {
    return x * x;
  }
}
