package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.audio.Clip;
import takewright.diagnosis.Flag;
import takewright.pitch.Kind;
import takewright.testing.HeldTone;

/**
 * Strings that are plucked while they and others ring. The notes are computed, so that their onsets
 * are known: partials that fall exponentially, the high ones faster.
 */
class RingingStringsTest {
  private static final int RATE = 48_000;

  private static float[] room(double seconds) {
    SplittableRandom random = new SplittableRandom(21);
    float[] x = new float[(int) (seconds * RATE)];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (0.001 * (2 * random.nextDouble() - 1));
    }
    return x;
  }

  /** A note is found where it is plucked though several strings ring, and no earlier. */
  @Test
  void aNoteSetsInWhereItIsPluckedThoughOthersRing() throws IOException {
    float[] x = room(24);
    double[] at = new double[8];
    for (int n = 0; n < at.length; n++) {
      at[n] = 3 + 2.3 * n;
      PluckedString.add(x, RATE, 0.14, at[n], 3.2, 110 * Math.pow(2, n * 5 / 12.0));
    }
    List<Region> kept = kept(x);
    assertEquals(at.length, kept.size(), "" + kept);
    for (int n = 0; n < at.length; n++) {
      assertEquals(at[n], (double) kept.get(n).onset() / RATE, 0.006, "note " + n);
    }
  }

  /** What rings is masked by a note 25 dB above it; a tail is missed where it is cut louder. */
  @ParameterizedTest
  @CsvSource({"22, true, true", "27.5, true, false", "33, false, false"})
  void whatIsHeardOfARingIsFlagged(double downDb, boolean ringsOn, boolean isInTail)
      throws IOException {
    float[] x = room(8);
    ring(x, 3, 220, downDb);
    ring(x, 4, 330, downDb);
    List<Region> kept = kept(x);
    assertEquals(2, kept.size(), "" + kept);
    assertEquals(ringsOn, kept.get(0).flags().contains(Flag.RINGS_ON), "the first rings on");
    assertEquals(isInTail, kept.get(1).flags().contains(Flag.IN_TAIL), "the second is in its tail");
  }

  /** Adds a tone that dies away by so much a second, in dB. */
  private static void ring(float[] x, double at, double hz, double downDb) {
    for (int i = (int) (at * RATE); i < x.length; i++) {
      double t = (double) i / RATE - at;
      double loud = 0.3 * Math.pow(10, -downDb * t / 20) * Math.min(1, t / 0.002);
      for (int k = 1; k <= 4; k++) {
        x[i] += (float) (loud / (k * k) * Math.sin(2 * Math.PI * k * hz * t));
      }
    }
  }

  /** By the columns alone two of these begin 35 and 13 ms early. */
  @Test
  void inQuickSuccessionNotesSetInWhereTheyArePlucked() throws IOException {
    float[] x = room(12);
    double[] at = new double[12];
    for (int n = 0; n < at.length; n++) {
      at[n] = 3 + 0.4 * n;
      pluckBrightly(x, 0.14, at[n], 2.2, hz(45 + 5 * n % 19));
    }
    List<Region> kept = kept(x);
    assertEquals(at.length, kept.size(), "" + kept);
    for (int n = 0; n < at.length; n++) {
      assertEquals(at[n], (double) kept.get(n).onset() / RATE, 0.002, "note " + n);
    }
  }

  /**
   * A string that is plucked again is heard though it rang on as loud until then; a knock over it,
   * which rises as plainly, is no note.
   */
  @Test
  void theSameStringIsHeardAgainByItsHighPartials() throws IOException {
    float[] x = room(24);
    SplittableRandom random = new SplittableRandom(8);
    List<Double> plucked = new ArrayList<>();
    for (int n = 0; n < 4; n++) {
      double at = 3 + 5 * n;
      pluckBrightly(x, 0.14, at, 1.23, hz(50 + 3 * n));
      pluckBrightly(x, 0.07, at + 1.2, 2.3, hz(50 + 3 * n));
      plucked.addAll(List.of(at, at + 1.2));
      for (int i = 0; i < 0.2 * RATE; i++) {
        double knock = 0.03 * Math.exp(-30.0 * i / RATE) * (2 * random.nextDouble() - 1);
        x[(int) ((at + 2.4) * RATE) + i] += (float) knock;
      }
    }
    List<Region> kept = kept(x);
    assertEquals(plucked.size(), kept.size(), "" + kept);
    for (int n = 0; n < plucked.size(); n++) {
      assertEquals(plucked.get(n), (double) kept.get(n).onset() / RATE, 0.01, "note " + n);
    }
  }

  /** Adds a string whose partials go up to 12 kHz, of which the high ones are over soon. */
  private static void pluckBrightly(float[] x, double level, double at, double s, double hz) {
    PluckedString.add(x, RATE, level, at, s, hz, PluckedString.Pluck.bright(hz));
  }

  /** Seconds from one note with a slow partial to the next, and for how long it sounds. */
  private static final double EVERY_S = 9;

  private static final double SOUNDS_S = 7.5;

  /**
   * One partial goes on beneath the others that are gone soon, and sinks into the room by 8 dB a
   * second: each note is followed to 17 dB below the level of the room.
   */
  @Test
  void aStringIsFollowedFarIntoTheRoom() throws IOException {
    double level = 0.05;
    double falls = 0.9;
    double roomDbfs = 10 * Math.log10(0.001 * 0.001 / 3);
    for (double end : endsWithASlowPartial(level, falls)) {
      double endDbfs = 20 * Math.log10(level * Math.exp(-falls * end) / Math.sqrt(2));
      assertTrue(endDbfs < roomDbfs - 17, "it ends at " + endDbfs + " dBFS");
    }
  }

  /**
   * One partial falls by 3.5 dB a second, up to the next note but 1.5 s: no note ends before its
   * sound does, though most of what is quiet holds that partial.
   */
  @Test
  void aSlowPartialIsNotTheRoom() throws IOException {
    for (double end : endsWithASlowPartial(0.02, 0.4)) {
      assertEquals(SOUNDS_S, end, 0.5, "end, in seconds after the onset");
    }
  }

  /**
   * Cuts six notes, one partial of which goes on beneath the others, and says when they end.
   *
   * @param level amplitude of that partial
   * @param falls how fast it falls, in nepers a second
   */
  private static double[] endsWithASlowPartial(double level, double falls) throws IOException {
    double[] ends = new double[6];
    float[] x = room(3 + EVERY_S * ends.length);
    for (int n = 0; n < ends.length; n++) {
      for (int i = 0; i < SOUNDS_S * RATE; i++) {
        double t = (double) i / RATE;
        double y = 0;
        for (int k = 1; k <= 8; k++) {
          double loud = level / k * Math.exp(-t * (k == 1 ? falls : 2 * k));
          y += loud * Math.sin(2 * Math.PI * k * hz(40 + 3 * n) * t);
        }
        double swell = Math.min(1, Math.min(t / 0.005, (SOUNDS_S - t) / 0.1));
        x[(int) ((3 + EVERY_S * n) * RATE) + i] += (float) (swell * y);
      }
    }
    List<Region> kept = kept(x);
    assertEquals(ends.length, kept.size(), "" + kept);
    for (int n = 0; n < ends.length; n++) {
      ends[n] = (double) kept.get(n).end() / RATE - (3 + EVERY_S * n);
    }
    return ends;
  }

  /** A string a fourth higher, or a fifth, is named though the lower one rings as loud. */
  @Test
  void aNoteIsNamedThoughAnotherRings() throws IOException {
    float[] x = room(24);
    int[] midi = {45, 50, 57, 64, 69, 76, 59, 64};
    for (int n = 0; n < midi.length; n++) {
      PluckedString.add(x, RATE, 0.14, 3 + 1.6 * n, 2.4, 440 * Math.pow(2, (midi[n] - 69) / 12.0));
    }
    List<Region> regions =
        Segment.apply(Clip.of(RATE, x).source(), SegmentSettings.forKind(Kind.PITCHED)).regions();
    List<Integer> heard =
        regions.stream().map(r -> r.pitch() == null ? 0 : r.pitch().midi()).toList();
    assertEquals(Arrays.stream(midi).boxed().toList(), heard);
  }

  /** A string is heard that is plucked while another rings louder than it. */
  @Test
  void aSoftNoteIsHeardUnderALouderRing() throws IOException {
    int pairs = 8;
    double every = 5;
    float[] x = room(3 + every * pairs);
    List<Double> plucked = new ArrayList<>();
    for (int n = 0; n < pairs; n++) {
      double at = 3 + every * n;
      pluckBrightly(x, 0.2, at, 1.7, hz(50 + 2 * n));
      pluckBrightly(x, 0.05, at + 0.6, 1.6, hz(55 + 2 * n));
      plucked.addAll(List.of(at, at + 0.6));
    }
    List<Region> kept = kept(x);
    for (int n = 0; n < plucked.size(); n++) {
      int midi = n % 2 == 0 ? 50 + n : 54 + n;
      assertEquals(List.of(midi), heardAt(kept, plucked.get(n)), "plucked at " + plucked.get(n));
    }
    assertEquals(plucked.size(), kept.size(), "" + kept);
  }

  /**
   * Of a word over strings that ring no syllable is taken for a note, however plainly it rises, and
   * what is plucked behind it is heard. The words are recorded.
   */
  @Test
  void whatIsPluckedBehindAWordIsHeardAndNoSyllable() throws IOException {
    int words = 8;
    double every = 9;
    float[] x = room(3 + every * words);
    List<Double> plucked = new ArrayList<>();
    List<Integer> midi = new ArrayList<>();
    for (int n = 0; n < words; n++) {
      double at = 3 + every * n;
      float[] word = SpokenWords.word(RATE, 11 * n);
      PluckedString.add(x, RATE, 0.05, at, 0.34 + (double) word.length / RATE, hz(50 + n));
      for (int i = 0; i < word.length; i++) {
        x[(int) ((at + 0.3) * RATE) + i] += word[i];
      }
      double over = at + 0.3 + (double) word.length / RATE;
      for (int k = 0; k < 2; k++) {
        plucked.add(over + 0.05 + 0.8 * k);
        midi.add(55 + n + 5 * k);
        PluckedString.add(x, RATE, 0.14, over + 0.05 + 0.8 * k, 1.4, hz(55 + n + 5 * k));
      }
    }
    List<Region> kept = kept(x);
    for (int n = 0; n < plucked.size(); n++) {
      double at = plucked.get(n);
      List<Integer> heard = heardAt(kept, at);
      assertEquals(List.of(midi.get(n)), heard, "plucked at " + at);
    }
    // The string that the word lies over may be heard as itself, before the word or behind it.
    for (Region region : kept) {
      int n = (int) (((double) region.onset() / RATE - 2.9) / every);
      int pitch = region.pitch().midi();
      assertTrue(pitch == 50 + n || midi.subList(2 * n, 2 * n + 2).contains(pitch), "" + region);
    }
  }

  /** High notes of a tenth of a second behind a word are each heard, too: others hold no pitch. */
  @Test
  void briefNotesBehindAWordAreHeard() throws IOException {
    int words = 8;
    double every = 6;
    float[] x = room(3 + every * words);
    List<Double> struck = new ArrayList<>();
    for (int n = 0; n < words; n++) {
      double at = 3 + every * n;
      float[] word = SpokenWords.word(RATE, 11 * n);
      for (int i = 0; i < word.length; i++) {
        x[(int) (at * RATE) + i] += word[i];
      }
      for (int k = 0; k < 2; k++) {
        struck.add(at + (double) word.length / RATE + 0.2 + 0.4 * k);
        PluckedString.add(x, RATE, 0.2, struck.get(2 * n + k), 0.11, hz(84 + 2 * n + k));
      }
    }
    List<Region> kept = kept(x);
    for (int n = 0; n < struck.size(); n++) {
      double at = struck.get(n);
      List<Integer> heard = heardAt(kept, at);
      assertEquals(List.of(84 + 2 * (n / 2) + n % 2), heard, "struck at " + at);
    }
  }

  /** What is bowed or blown soon behind a word does not die away; no vowel is held as long. */
  @Test
  void aHeldNoteSoonBehindAWordIsHeard() throws IOException {
    int words = 8;
    double every = 6;
    float[] x = room(3 + every * words);
    List<Double> bowed = new ArrayList<>();
    for (int n = 0; n < words; n++) {
      int at = (int) ((3 + every * n) * RATE);
      float[] word = SpokenWords.word(RATE, 11 * n);
      float[] note = HeldTone.of(RATE, hz(55 + 3 * n), 1.5).rising(0.01).samples();
      int behind = at + word.length + (int) (0.15 * RATE);
      for (int i = 0; i < word.length; i++) {
        x[at + i] += word[i];
      }
      for (int i = 0; i < note.length; i++) {
        x[behind + i] += 0.1f * note[i];
      }
      bowed.add((double) behind / RATE);
    }
    List<Region> kept = kept(x);
    for (int n = 0; n < words; n++) {
      assertEquals(List.of(55 + 3 * n), heardAt(kept, bowed.get(n)), "bowed at " + bowed.get(n));
    }
  }

  /**
   * Words by themselves, whose syllables rise as plainly as strokes: nine that stand between two
   * pauses pass for notes, and none that is cut out of a word does.
   */
  @Test
  void noSyllableIsPlucked() throws IOException {
    int words = 60;
    double every = 3.5;
    float[] x = room(3 + every * words);
    for (int n = 0; n < words; n++) {
      float[] word = SpokenWords.word(RATE, 5 * n);
      for (int i = 0; i < word.length; i++) {
        x[(int) ((3 + every * n) * RATE) + i] += word[i];
      }
    }
    List<Region> notes = kept(x);
    assertTrue(notes.size() <= 9, notes.size() + " notes");
  }

  private static List<Region> kept(float[] x) throws IOException {
    Clip take = Clip.of(RATE, x);
    return Segment.apply(take.source(), SegmentSettings.forKind(Kind.PITCHED)).regions().stream()
        .filter(region -> !region.rejected())
        .toList();
  }

  /** The notes of the regions that set in at a time, in seconds, to 10 ms. */
  private static List<Integer> heardAt(List<Region> kept, double at) {
    return kept.stream()
        .filter(region -> Math.abs((double) region.onset() / RATE - at) < 0.01)
        .map(region -> region.pitch().midi())
        .toList();
  }

  private static double hz(int midi) {
    return 440 * Math.pow(2, (midi - 69) / 12.0);
  }
}
