package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import java.util.function.DoubleUnaryOperator;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.pitch.Kind;

/**
 * Strings that are plucked 0.4 s apart, while others ring or somebody speaks. The notes are
 * computed, so that their onsets are known; the words are recorded.
 */
class QuickStrokesTest {
  private static final int RATE = 48_000;

  private static final double APART_S = 0.4;

  private static final int BARS = 5;

  private static float[] room(double seconds, double level) {
    SplittableRandom random = new SplittableRandom(22);
    float[] x = new float[(int) (seconds * RATE)];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (level * (2 * random.nextDouble() - 1));
    }
    return x;
  }

  /**
   * Adds a string whose partials go up to 12 kHz, of which the high ones are over soon.
   *
   * @param level of the lowest partial
   * @param dull power of k by which the partials are softer
   * @param s seconds after which it is stopped
   */
  private static void pluck(float[] x, double level, double dull, double at, double s, int midi) {
    double hz = 440 * Math.pow(2, (midi - 69) / 12.0);
    int partials = PluckedString.Pluck.bright(hz).partials();
    PluckedString.Pluck pluck = new PluckedString.Pluck(partials, dull, 0.001, 0.02);
    PluckedString.add(x, RATE, level, at, s, hz, pluck);
  }

  /** The next stroke hides that what is plucked dies away; the edge of each tells it. */
  @Test
  void strokesBehindAWordAreHeardThoughLouderOnesFollowSoon() throws IOException {
    int words = 4;
    double every = 6;
    float[] x = room(3 + every * words, 1e-4);
    List<Double> plucked = new ArrayList<>();
    for (int n = 0; n < words; n++) {
      int at = (int) ((3 + every * n) * RATE);
      float[] word = SpokenWords.word(RATE, 11 * n);
      for (int i = 0; i < word.length; i++) {
        x[at + i] += word[i];
      }
      double over = (double) (at + word.length) / RATE + 0.05;
      for (int k = 0; k < 3; k++) {
        plucked.add(over + APART_S * k);
        pluck(x, 0.05 * (1 << k), 1, over + APART_S * k, 1.4, 62 + n);
      }
    }
    assertAllHeard(plucked, n -> 62 + n / 3, kept(x));
  }

  /** Then no pitch holds; their edges are higher than any word's. */
  @Test
  void strokesAreHeardThoughTheWordGoesOn() throws IOException {
    List<Double> missed = missedIntoWords(0.25, 1, 0.5);
    assertTrue(missed.size() <= 2, missed + " of 12, where 6 were");
  }

  /** Their edges are no higher than those of many syllables, their pitch is stiller. */
  @Test
  void dullStrokesAreHeardBehindAWordThoughOthersFollowSoon() throws IOException {
    List<Double> missed = missedIntoWords(0.1, 1.5, 1);
    assertTrue(missed.size() <= 3, missed + " of 12, where 5 were");
  }

  /** Two strokes from a share of a word on, for each of six; those that begin no region. */
  private static List<Double> missedIntoWords(double level, double dull, double share)
      throws IOException {
    int words = 6;
    double every = 5;
    float[] x = room(3 + every * words, 1e-4);
    List<Double> plucked = new ArrayList<>();
    for (int n = 0; n < words; n++) {
      int at = (int) ((3 + every * n) * RATE);
      float[] word = SpokenWords.word(RATE, 7 * n);
      for (int i = 0; i < word.length; i++) {
        x[at + i] += word[i];
      }
      for (int k = 0; k < 2; k++) {
        double from = (at + share * word.length) / RATE + APART_S * k;
        plucked.add(from);
        pluck(x, level, dull, from, 1.4, 62 + n);
      }
    }
    List<Region> all = regions(x);
    plucked.removeIf(
        from -> all.stream().anyMatch(r -> Math.abs((double) r.onset() / RATE - from) < 0.015));
    return plucked;
  }

  /** It rings on as loud as it is plucked, so that its bands are not quite those of the first. */
  @Test
  void theSameStringIsHeardAgainOverItsOwnRing() throws IOException {
    assertPairsAreHeard(4, 2.3, 0.09, 47, 47);
  }

  /** By its pitch it might be a partial of the one before; the pause before it is too short. */
  @Test
  void anOctaveAboveAStoppedStringIsAnotherNote() throws IOException {
    assertPairsAreHeard(2, 0.3, 0.14, 50, 62);
  }

  /**
   * Plucks pairs of strings, each pair a semitone above the one before.
   *
   * @param every pairs begin so far apart, in seconds
   * @param ringsS how long each rings, in seconds
   * @param again amplitude of the second
   * @param first number of the first note
   * @param second number of the one that follows it soon
   */
  private static void assertPairsAreHeard(
      double every, double ringsS, double again, int first, int second) throws IOException {
    int pairs = 5;
    float[] x = room(3 + every * pairs, 1e-3);
    List<Double> plucked = new ArrayList<>();
    for (int n = 0; n < pairs; n++) {
      double at = 3 + every * n;
      pluck(x, 0.14, 1, at, ringsS, first + n);
      pluck(x, again, 1, at + APART_S, ringsS, second + n);
      plucked.addAll(List.of(at, at + APART_S));
    }
    List<Region> kept = kept(x);
    assertAllHeard(plucked, n -> (n % 2 == 0 ? first : second) + n / 2, kept);
    assertEquals(plucked.size(), kept.size(), said(kept));
  }

  /** It comes up by more than a stroke does, but slowly. */
  @Test
  void beatsOfABarAreNoStrokes() throws IOException {
    List<Region> kept = kept(bars(t -> 0.5 + 0.5 * Math.cos(2 * Math.PI * t / 0.3)));
    assertEquals(BARS, kept.size(), said(kept));
  }

  /** Behind it no pitch is heard but that of the room's hum. */
  @Test
  void theLastFlickerOfABarInAHummingRoomIsNoNote() throws IOException {
    List<Region> kept = kept(bars(t -> t < 0.4 ? 1 : t < 0.45 ? 3 : 0));
    assertEquals(BARS, kept.size(), said(kept));
  }

  /** Bars that die away and are loud as a course says, in a room that hums. */
  private static float[] bars(DoubleUnaryOperator course) {
    float[] x = room(3 + 3.0 * BARS, 2e-3);
    for (int i = 0; i < x.length; i++) {
      x[i] += (float) (2e-3 * Math.sin(2 * Math.PI * 50 * i / RATE));
    }
    for (int n = 0; n < BARS; n++) {
      double hz = 2500 + 100 * n;
      int from = (int) ((3 + 3.0 * n) * RATE);
      for (int i = 0; i < 2 * RATE; i++) {
        double t = (double) i / RATE;
        double loud = 0.02 * Math.exp(-5 * t) * Math.min(1, t / 0.002) * course.applyAsDouble(t);
        x[from + i] += (float) (loud * Math.sin(2 * Math.PI * hz * t));
      }
    }
    return x;
  }

  /** A loud string rings through two that are stopped, and is what is mostly heard. */
  @Test
  void aNoteOfAMomentIsNamedThoughALouderOneRings() throws IOException {
    float[] x = room(9, 1e-3);
    pluck(x, 0.2, 1.3, 3, 1.2, 50);
    pluck(x, 0.1, 1.3, 3 + APART_S, 0.2, 56);
    pluck(x, 0.1, 1.3, 3 + 2 * APART_S, 0.33, 56);
    List<Double> plucked = List.of(3.0, 3 + APART_S, 3 + 2 * APART_S);
    assertAllHeard(plucked, n -> n == 0 ? 50 : 56, kept(x));
  }

  private interface Notes {
    int midi(int index);
  }

  private static void assertAllHeard(List<Double> plucked, Notes notes, List<Region> kept) {
    List<String> missed = new ArrayList<>();
    for (int n = 0; n < plucked.size(); n++) {
      double at = plucked.get(n);
      int midi = notes.midi(n);
      boolean isHeard =
          kept.stream()
              .anyMatch(
                  region ->
                      Math.abs((double) region.onset() / RATE - at) < 0.01
                          && region.pitch().midi() == midi);
      if (!isHeard) {
        missed.add(midi + " at " + at);
      }
    }
    assertEquals(List.of(), missed, "of " + said(kept));
  }

  private static String said(List<Region> kept) {
    return kept.stream()
        .map(r -> String.format("%d at %.2f", r.pitch().midi(), (double) r.onset() / RATE))
        .toList()
        .toString();
  }

  private static List<Region> kept(float[] x) throws IOException {
    return regions(x).stream().filter(region -> !region.rejected()).toList();
  }

  private static List<Region> regions(float[] x) throws IOException {
    Clip take = Clip.of(RATE, x);
    return Segment.apply(take.source(), SegmentSettings.forKind(Kind.PITCHED)).regions();
  }
}
