package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.SplittableRandom;
import java.util.TreeMap;
import java.util.stream.Collectors;
import org.junit.jupiter.api.Test;
import takewright.diagnosis.Flag;
import takewright.pitch.Kind;

/** What is heard of notes while they are played. The strings are computed, the words recorded. */
class LiveSegmentTest {
  private static final int RATE = 48_000;
  private static final double EVERY_S = 7;
  private static final int NOTES = 14;

  /** Words follow a string while it rings: that they do is heard a second after they begin. */
  @Test
  void aWordOverAStringIsHeardAtOnce() throws IOException {
    float[] x = room(3 + EVERY_S * NOTES);
    double[] begins = new double[NOTES];
    for (int n = 0; n < NOTES; n++) {
      double at = 3 + EVERY_S * n;
      begins[n] = at + 0.7;
      PluckedString.add(x, RATE, 0.05, at, 2.5, hz(50 + n));
      float[] word = SpokenWords.word(RATE, 7 * n);
      for (int i = 0; i < word.length; i++) {
        x[(int) (begins[n] * RATE) + i] += word[i];
      }
    }
    Map<Integer, LiveSegment.HeardRegion> first = heardSoon(x, RATE / 100);
    int ended = 0;
    int told = 0;
    for (double at : begins) {
      for (LiveSegment.HeardRegion one : first.values()) {
        double end = (double) one.region().end() / RATE;
        if (!one.region().rejected() && Math.abs(end - at) < 0.25) {
          ended++;
          told += one.region().flags().contains(Flag.DISTURBED) ? 1 : 0;
        }
      }
    }
    assertTrue(ended >= 8, ended + " notes end where a word begins");
    assertTrue(told >= 0.7 * ended, told + " of " + ended);
    assertEquals(
        flagged(first), flagged(heardSoon(x, 5 * RATE)), "the size of the pieces does not matter");
  }

  /**
   * What sets in where a note ends, and is no note, is heard by the second ear as well: a knock on
   * the wood, or a syllable.
   */
  @Test
  void whatANoteGoesOverIntoIsHeardSoon() throws IOException {
    float[] x = room(3 + EVERY_S * NOTES);
    for (int n = 0; n < NOTES; n++) {
      double at = 3 + EVERY_S * n;
      PluckedString.add(x, RATE, 0.2, at, 2.5, hz(50 + n));
      float[] word = SpokenWords.word(RATE, 7 * n);
      for (int i = 0; i < word.length; i++) {
        x[(int) ((at + 0.7) * RATE) + i] += 2 * word[i];
      }
    }
    Map<Integer, LiveSegment.HeardRegion> first = heardSoon(x, RATE / 100);
    int words = 0;
    for (LiveSegment.HeardRegion one : first.values()) {
      long end = one.region().end();
      List<Region> behind =
          first.values().stream()
              .map(LiveSegment.HeardRegion::region)
              .filter(next -> next.start() == end)
              .toList();
      boolean isWord = behind.stream().anyMatch(Region::rejected);
      words += isWord && !one.region().rejected() ? 1 : 0;
    }
    assertTrue(words >= 6, words + " notes go over into what is none");
  }

  /** A string that rings while the next is plucked is disturbed by no word. */
  @Test
  void theNextStringIsNoWord() {
    float[] x = room(3 + 0.9 * 30);
    for (int n = 0; n < 28; n++) {
      PluckedString.add(x, RATE, 0.14, 3 + 0.9 * n, 1.6, hz(45 + 5 * n % 24));
    }
    Map<Integer, LiveSegment.HeardRegion> first = heardSoon(x, RATE / 100);
    assertTrue(first.size() >= 24, first.size() + " notes");
    assertEquals(List.of(), flagged(first));
  }

  /** Short notes each of which ends where the next is struck, which is softer or louder. */
  @Test
  void theNextNoteIsNoKnock() {
    float[] x = room(3 + 0.5 * 30);
    for (int n = 0; n < 28; n++) {
      PluckedString.add(x, RATE, n % 2 == 0 ? 0.2 : 0.05, 3 + 0.5 * n, 0.2, hz(72 + 5 * n % 24));
    }
    Map<Integer, LiveSegment.HeardRegion> first = heardSoon(x, RATE / 100);
    assertTrue(first.size() >= 24, first.size() + " notes");
    for (LiveSegment.HeardRegion one : first.values()) {
      assertTrue(one.brief().againDb() < 10, one.toString());
    }
  }

  /** Though it lasts for a few columns only. */
  @Test
  void aVeryShortNoteIsHeardToStop() {
    float[] x = room(6);
    int length = RATE / 20;
    for (int i = 0; i < length; i++) {
      double fade = Math.min(1, Math.min(i, length - i) / (0.002 * RATE));
      x[3 * RATE + i] += (float) (0.2 * fade * Math.sin(2 * Math.PI * hz(96) * i / RATE));
    }
    Region note = heardSoon(x, RATE / 100).get(1).region();
    assertEquals(96, note.pitch().midi());
    assertTrue(note.heardFrames() < 0.17 * RATE, note.toString());
    assertTrue(note.blemishes().ending().stopDb() > 20, note.toString());
  }

  /**
   * A soft blow a third of a second behind a short note is none of it, though the region goes on:
   * the note is heard to end before it.
   */
  @Test
  void aKnockBehindAShortNoteIsNoPartOfIt() {
    float[] x = room(3 + 3 * NOTES);
    SplittableRandom random = new SplittableRandom(5);
    double[] blows = new double[NOTES];
    for (int n = 0; n < NOTES; n++) {
      double at = 3 + 3 * n;
      PluckedString.add(x, RATE, 0.2, at, 0.12, hz(69 + n));
      blows[n] = at + 0.12 + 0.3;
      for (int i = 0; i < RATE / 10; i++) {
        double loud = 0.02 * Math.exp(-i / (0.02 * RATE));
        x[(int) (blows[n] * RATE) + i] += (float) (loud * (2 * random.nextDouble() - 1));
      }
    }
    Map<Integer, LiveSegment.HeardRegion> first = heardSoon(x, RATE / 100);
    for (double blow : blows) {
      List<Region> notes =
          first.values().stream()
              .map(LiveSegment.HeardRegion::region)
              .filter(one -> Math.abs(one.onset() - (blow - 0.42) * RATE) < 0.05 * RATE)
              .toList();
      assertEquals(1, notes.size(), () -> notes.toString());
      assertTrue(notes.get(0).end() <= blow * RATE, () -> blow + ": " + notes.get(0));
    }
  }

  /** A word that is spoken once a note has sunk into the room lies over nothing. */
  @Test
  void aWordSpokenAfterANoteDisturbsNothing() throws IOException {
    float[] x = room(3 + EVERY_S * NOTES);
    for (int n = 0; n < NOTES; n++) {
      double at = 3 + EVERY_S * n;
      PluckedString.add(x, RATE, 0.05, at, 0.6, hz(50 + n));
      float[] word = SpokenWords.word(RATE, 7 * n);
      for (int i = 0; i < word.length; i++) {
        x[(int) ((at + 1) * RATE) + i] += word[i];
      }
    }
    List<Long> disturbed = flagged(heardSoon(x, RATE / 100));
    // A word may be taken for a note, and is told to be disturbed then.
    disturbed.removeIf(onset -> (onset / (double) RATE - 3) % EVERY_S > 0.5);
    assertEquals(List.of(), disturbed);
  }

  /** Nothing has been played that would show what notes have beside them. */
  @Test
  void aBlowOverTheFirstNoteIsToldWhereTheRoomHasNone() {
    float[] x = room(10);
    PluckedString.add(x, RATE, 0.2, 4, 2.5, hz(62));
    assertEquals(List.of(), flagged(heardSoon(x, RATE / 100)));
    blow(x, 4.8, new SplittableRandom(3));
    Map<Integer, LiveSegment.HeardRegion> heard = heardSoon(x, RATE / 100);
    assertEquals(1, flagged(heard).size(), heard::toString);
    assertEquals(flagged(heard), flagged(heardSoon(x, 5 * RATE)));
    // The second is held against the first.
    float[] two = room(16);
    PluckedString.add(two, RATE, 0.2, 4, 2.5, hz(60));
    PluckedString.add(two, RATE, 0.2, 9, 2.5, hz(62));
    blow(two, 9.8, new SplittableRandom(3));
    assertEquals(List.of(), flagged(heardSoon(two, RATE / 100)));
  }

  @Test
  void whatTheRoomKnocksOverANoteIsNoneOfIt() {
    float[] x = room(3 + EVERY_S * NOTES);
    SplittableRandom random = new SplittableRandom(3);
    for (int n = 0; n < NOTES; n++) {
      PluckedString.add(x, RATE, 0.2, 3 + EVERY_S * n, 2.5, hz(50 + n));
    }
    assertEquals(0, knocked(x));
    float[] few = x.clone();
    for (int n = 0; n < NOTES; n++) {
      blow(few, 3.8 + EVERY_S * n, random);
    }
    assertTrue(knocked(few) >= NOTES / 2, knocked(few) + " blows stand out");
    for (double at = 0.4; at < 2 + EVERY_S * NOTES; at += 0.6) {
      blow(x, at, random);
    }
    // The first of them are over before the room has been heard for long.
    assertTrue(knocked(x) <= NOTES / 4, knocked(x) + " blows of the room");
  }

  /** A note's region may go on for half a second until it has died away. */
  @Test
  void aBlowAsANoteDiesAwayIsBehindIt() {
    FrameRange blow = new FrameRange(900, 910);
    assertTrue(places(blow, new FrameRange(800, 1000)).isKnockBehind());
    assertFalse(places(blow, new FrameRange(905, 1000)).isKnockBehind());
    assertFalse(places(blow, null).isKnockBehind());
    assertFalse(places(null, new FrameRange(800, 1000)).isKnockBehind());
  }

  private static Blemishes.FlawPlaces places(FrameRange knock, FrameRange behind) {
    return new Blemishes.FlawPlaces(null, knock, behind, null, null);
  }

  private static long knocked(float[] x) {
    return heardSoon(x, RATE / 100).values().stream()
        .map(one -> one.region().blemishes().beside().knockDb())
        .filter(db -> db >= Blemishes.Beside.KNOCK_DB)
        .count();
  }

  private static void blow(float[] x, double atS, SplittableRandom random) {
    for (int i = 0; i < RATE / 50; i++) {
      double loud = 0.1 * Math.exp(-i / (0.002 * RATE));
      x[(int) (atS * RATE) + i] += (float) (loud * (2 * random.nextDouble() - 1));
    }
  }

  private static List<Long> flagged(Map<Integer, LiveSegment.HeardRegion> heard) {
    return heard.values().stream()
        .filter(one -> one.region().flags().contains(Flag.DISTURBED))
        .map(one -> one.region().onset())
        .collect(Collectors.toCollection(ArrayList::new));
  }

  /** What the second ear says first of each sound. */
  private static Map<Integer, LiveSegment.HeardRegion> heardSoon(float[] x, int piece) {
    LiveSegment live = new LiveSegment(RATE, 1, SegmentSettings.forKind(Kind.PITCHED), null);
    Map<Integer, LiveSegment.HeardRegion> first = new TreeMap<>();
    for (int at = 0; at < x.length; at += piece) {
      float[] next = Arrays.copyOfRange(x, at, Math.min(x.length, at + piece));
      live.push(new float[][] {next}, next.length);
      soon(live).forEach(one -> first.putIfAbsent(one.number(), one));
    }
    return first;
  }

  /** What the second ear has heard last. */
  private static List<LiveSegment.HeardRegion> soon(LiveSegment live) {
    return live.heard().stream().filter(one -> one.ear() == LiveSegment.Ear.SOON).toList();
  }

  private static float[] room(double seconds) {
    SplittableRandom random = new SplittableRandom(21);
    float[] x = new float[(int) (seconds * RATE)];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (0.001 * (2 * random.nextDouble() - 1));
    }
    return x;
  }

  private static double hz(int midi) {
    return 440 * Math.pow(2, (midi - 69) / 12.0);
  }

  private static Region region(long start, long end, boolean isRejected) {
    return new Region(start, start, end, Kind.PITCHED, null, 1, isRejected, Set.of(), -10, -18);
  }

  /**
   * A note keeps its number though a later ear hears a knock right before it, or in its lead-in.
   */
  @Test
  void whatIsSplitOffANoteIsNotThatNote() {
    Region note = region(1000, 2000, false);
    assertFalse(LiveSegment.isOf(note, region(700, 1010, true)));
    assertFalse(LiveSegment.isOf(note, region(1000, 1249, true)));
    assertTrue(LiveSegment.isOf(note, region(1000, 1250, true)), "the note was none");
    assertTrue(LiveSegment.isOf(note, region(700, 1010, false)), "two notes");
    assertTrue(LiveSegment.isOf(region(1000, 2000, true), region(700, 1010, true)), "two knocks");
    assertFalse(LiveSegment.isOf(note, region(2000, 2100, false)));
  }
}
