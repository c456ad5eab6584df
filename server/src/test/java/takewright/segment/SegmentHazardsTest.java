package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Set;
import java.util.SplittableRandom;
import java.util.function.IntToDoubleFunction;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.AudioSource;
import takewright.audio.Clip;
import takewright.audio.PassingSource;
import takewright.diagnosis.Flag;
import takewright.pitch.Kind;
import takewright.testing.Recordings;
import takewright.testing.TakeBuilder;

/**
 * What a session has in store for whoever cuts it. Each test is of one hazard and lays it out from
 * real recordings where they have it, else from tones and noise whose truth is known.
 */
class SegmentHazardsTest {
  private static final int RATE = 48_000;
  private static final double ROOM = -62;

  private static List<Region> cut(TakeBuilder take, Kind kind) throws IOException {
    return cut(take.build(ROOM), kind);
  }

  private static List<Region> cut(Clip take, Kind kind) throws IOException {
    return Segment.apply(take.source(), SegmentSettings.forKind(kind)).regions();
  }

  /** A tone of falling partials whose frequency and level are given over its frames. */
  private static float[] tone(
      double seconds, int partials, IntToDoubleFunction hertz, IntToDoubleFunction level) {
    float[] x = new float[(int) (seconds * RATE)];
    double phase = 0;
    int fade = RATE / 100;
    for (int i = 0; i < x.length; i++) {
      phase += 2 * Math.PI * hertz.applyAsDouble(i) / RATE;
      double ends = Math.min(1, Math.min(i, x.length - 1 - i) / (double) fade);
      for (int k = 1; k <= partials; k++) {
        x[i] += (float) (ends * level.applyAsDouble(i) * Math.sin(k * phase) / k);
      }
    }
    return x;
  }

  private static float[] tone(double seconds, double hertz) {
    return tone(seconds, 8, i -> hertz, i -> 1);
  }

  /** Noise between two frequencies with a raised-cosine envelope. */
  private static float[] breath(double seconds) {
    SplittableRandom random = new SplittableRandom(9);
    float[] x = new float[(int) (seconds * RATE)];
    double low = 0;
    double lower = 0;
    for (int i = 0; i < x.length; i++) {
      // One-pole filters at about 4 kHz and 800 Hz: the hiss of air.
      low += 0.4 * (random.nextDouble() - 0.5 - low);
      lower += 0.1 * (low - lower);
      x[i] = (float) ((low - lower) * (0.5 - 0.5 * Math.cos(2 * Math.PI * i / x.length)));
    }
    return x;
  }

  /** A recording that is let go after a while and rings, falling by 60 dB in {@code ringsS}. */
  private static float[] ringing(Recordings.Note note, double heldS, double ringsS) {
    Clip clip = note.read(heldS + ringsS);
    float[] x = TakeBuilder.faded(clip);
    int held = (int) (heldS * clip.sampleRate());
    for (int i = held; i < x.length; i++) {
      x[i] *= (float) Math.pow(10, -3 * (i - held) / (ringsS * clip.sampleRate()));
    }
    return x;
  }

  private static List<Integer> notes(List<Region> regions) {
    List<Integer> notes = new ArrayList<>();
    for (Region region : regions) {
      notes.add(region.pitch() == null ? -1 : region.pitch().midi());
    }
    return notes;
  }

  @ParameterizedTest
  @ValueSource(strings = {"violin", "contrabass", "saxophone"})
  void aNoteThatRingsIntoTheNextEndsWhereThatBegins(String instrument) throws IOException {
    List<Recordings.Note> all = Recordings.of(instrument);
    int rate = all.get(0).read(0.1).sampleRate();
    TakeBuilder take = new TakeBuilder(rate, 3).pause(2);
    List<Integer> expected = new ArrayList<>();
    for (int i = 0; i < 4; i++) {
      Recordings.Note note = all.get(2 + 3 * i);
      // The next begins when this one is 20 dB down.
      take.sound("note", note.midi(), ringing(note, 2, 1.5), -10, ROOM).back(1);
      expected.add(note.midi());
    }
    take.pause(3);
    List<Region> regions = cut(take, Kind.PITCHED);
    assertEquals(expected, notes(regions));
    for (int i = 1; i < regions.size(); i++) {
      Region region = regions.get(i);
      assertTrue(region.flags().contains(Flag.IN_TAIL), region.toString());
      assertTrue(regions.get(i - 1).flags().contains(Flag.RINGS_ON));
      double late = 1000.0 * (region.start() - take.events().get(i).onset()) / rate;
      assertTrue(late <= 25 && late >= -60, "starts " + late + " ms late");
    }
  }

  @Test
  void aNotePluckedAgainWhileItRingsIsAnother() throws IOException {
    float[] plucked = tone(2, 8, i -> 220, i -> Math.exp(-i / (0.25 * RATE)));
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(2);
    for (int i = 0; i < 4; i++) {
      take.sound("note", 57, plucked, -10, ROOM).back(1.2);
    }
    assertEquals(List.of(57, 57, 57, 57), notes(cut(take.pause(3), Kind.PITCHED)));
  }

  @Test
  void aPauseTooShortToEndARegionStillPartsTwoNotes() throws IOException {
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(2);
    for (int midi = 60; midi < 66; midi++) {
      float[] note = tone(1, 440 * Math.pow(2, (midi - 69) / 12.0));
      take.sound("note", midi, note, -12, ROOM).pause(0.1);
    }
    assertEquals(List.of(60, 61, 62, 63, 64, 65), notes(cut(take.pause(2), Kind.PITCHED)));
  }

  @Test
  void hitsThatRingIntoEachOtherAreCutApart() throws IOException {
    SplittableRandom random = new SplittableRandom(4);
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(2);
    for (int n = 0; n < 6; n++) {
      float[] hit = new float[RATE];
      for (int i = 0; i < hit.length; i++) {
        hit[i] = (float) ((random.nextDouble() - 0.5) * Math.exp(-i / (0.12 * RATE)));
      }
      take.sound("note", -1, hit, -10, ROOM).back(0.4);
    }
    assertEquals(6, cut(take.pause(2), Kind.UNPITCHED).size());
  }

  /** What flutters in a tail that dies into the room is no note: nothing goes on after it. */
  @Test
  void aFlutterInATailIsNoNote() throws IOException {
    float[] note = tone(4, 8, i -> 220, i -> Math.exp(-i / (0.4 * RATE)));
    for (int i = 23 * RATE / 10; i < 28 * RATE / 10; i++) {
      note[i] *= 12;
    }
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(2);
    List<Region> regions = cut(take.sound("note", 57, note, -10, ROOM).pause(2), Kind.PITCHED);
    assertEquals(1, regions.size());
    assertEquals(Set.of(), regions.get(0).flags());
    assertTrue(regions.get(0).end() >= take.events().get(0).audible());
  }

  @Test
  void aTremoloIsOneRegion() throws IOException {
    float[] strokes =
        tone(4, 8, i -> 330, i -> Math.pow(Math.abs(Math.sin(Math.PI * 10 * i / RATE)), 3));
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(2);
    take.sound("note", 64, strokes, -12, ROOM).pause(2);
    assertEquals(List.of(64), notes(cut(take, Kind.PITCHED)));
  }

  @Test
  void aTrillIsOneRegion() throws IOException {
    float[] trill =
        tone(3, 8, i -> i / (RATE / 16) % 2 == 0 ? 330 : 370, i -> i % (RATE / 16) / 900.0 + 0.3);
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(2);
    assertEquals(1, cut(take.sound("note", 64, trill, -12, ROOM).pause(2), Kind.PITCHED).size());
  }

  @ParameterizedTest
  @CsvSource({"violin, 9", "saxophone, 12"})
  void aNoteTenDecibelsAboveTheRoomIsFound(String instrument, int which) throws IOException {
    Recordings.Note note = Recordings.of(instrument).get(which);
    Clip clip = note.read(2);
    float[] x = TakeBuilder.faded(clip);
    double power = 0;
    float peak = 0;
    for (float v : x) {
      power += (double) v * v / x.length;
      peak = Math.max(peak, Math.abs(v));
    }
    double room = -50;
    double peakDbfs = room + 10 + 20 * Math.log10(peak / Math.sqrt(power));
    TakeBuilder take = new TakeBuilder(clip.sampleRate(), 3).pause(2);
    take.sound("note", note.midi(), x, peakDbfs, room).pause(2);
    List<Region> regions = cut(take.build(room), Kind.PITCHED);
    assertEquals(List.of(note.midi()), notes(regions));
    double off = regions.get(0).onset() - take.events().get(0).onset();
    assertTrue(Math.abs(off) < 0.02 * clip.sampleRate(), "off by " + off + " frames");
  }

  @Test
  void aWeakHighHarmonicIsFound() throws IOException {
    float[] harmonic = tone(2, 1, i -> 2637, i -> Math.min(1, i / (0.08 * RATE)));
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(2);
    take.sound("note", 100, harmonic, -48, ROOM).pause(2);
    assertEquals(List.of(100), notes(cut(take, Kind.PITCHED)));
  }

  @Test
  void aClusterIsOneRegion() throws IOException {
    float[] cluster = new float[3 * RATE];
    for (double hertz : new double[] {220, 233.1, 246.9, 261.6}) {
      float[] one = tone(3, hertz);
      for (int i = 0; i < one.length; i++) {
        cluster[i] += one[i];
      }
    }
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(2);
    List<Region> regions = cut(take.sound("note", -1, cluster, -12, ROOM).pause(2), Kind.CLUSTER);
    assertEquals(1, regions.size());
    assertFalse(regions.get(0).rejected());
  }

  /** Glides and phrases beside talk: told apart with the kind known, and without. */
  @ParameterizedTest
  @CsvSource({"GLIDE, true", "PHRASE, true", "GLIDE, false"})
  void talkIsNeitherGlideNorPhrase(Kind kind, boolean isKnown) throws IOException {
    // A fourth upwards in two seconds; six notes joined with hardly a breath between.
    int[] steps = {0, 4, 7, 5, 2, 0};
    float[] sound =
        kind == Kind.GLIDE
            ? tone(2, 8, i -> 220 * Math.pow(2, i / (2.0 * RATE) * 5 / 12), i -> 1)
            : tone(
                2.4,
                8,
                i -> 220 * Math.pow(2, steps[Math.min(5, i / (2 * RATE / 5))] / 12.0),
                i -> 1);
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(2);
    take.sound("note", -1, sound, -12, ROOM).pause();
    take.sound("talk", -1, take.talk(), -15, ROOM).pause();
    take.sound("note", -1, sound, -9, ROOM).pause(2);
    List<Region> regions = cut(take, isKnown ? kind : null);
    assertEquals(3, regions.size());
    assertEquals(Set.of(Flag.TALK), regions.get(1).flags());
    assertTrue(regions.get(1).rejected());
    for (int i = 0; i < 3; i += 2) {
      assertFalse(regions.get(i).rejected());
      assertEquals(kind, regions.get(i).kind());
      assertTrue(regions.get(i).confidence() > 0.7);
    }
  }

  @Test
  void aPhraseIsKeptWholeAcrossItsPauses() throws IOException {
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(2);
    for (int i = 0; i < 4; i++) {
      take.sound("note", -1, tone(0.4, 220 + 30 * i), -12, ROOM).pause(0.5);
    }
    assertEquals(1, cut(take.pause(2), Kind.PHRASE).size());
  }

  @Test
  void withoutASheetEachRegionIsClassifiedByItself() throws IOException {
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(2);
    Recordings.Note note = Recordings.of("saxophone").get(7);
    take.sound("note", 57, tone(2, 220), -12, ROOM).pause();
    take.sound("knock", -1, take.knock(), -12, ROOM).pause();
    take.sound("glide", -1, tone(2, 8, i -> 300 + i / 800.0, i -> 1), -12, ROOM).pause(2);
    List<Kind> kinds = cut(take, null).stream().map(Region::kind).toList();
    assertEquals(List.of(Kind.PITCHED, Kind.UNPITCHED, Kind.GLIDE), kinds, note.name());
  }

  @ParameterizedTest
  @ValueSource(strings = {"PITCHED", "PHRASE", "GLIDE"})
  void aBreathAloneIsRejectedAsOne(Kind kind) throws IOException {
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(2);
    take.sound("breath", -1, breath(0.7), -30, ROOM).pause(1);
    double slope = kind == Kind.PITCHED ? 0 : 0.001;
    take.sound("note", 57, tone(2, 8, i -> 220 + slope * i, i -> 1), -12, ROOM).pause(2);
    List<Region> regions = cut(take, kind);
    assertEquals(Set.of(Flag.BREATH), regions.get(0).flags());
    assertTrue(regions.get(0).rejected());
    assertFalse(regions.get(1).rejected());
  }

  @Test
  void aCountInIsRecognised() throws IOException {
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(2);
    int at = take.length();
    for (int i = 0; i < 4; i++) {
      take.sound("tap", -1, take.knock(), -20, ROOM);
      take.pause(0.8 * (i + 1) - (double) (take.length() - at) / RATE);
    }
    take.sound("note", 57, tone(2, 220), -12, ROOM).pause();
    take.sound("knock", -1, take.knock(), -20, ROOM).pause(1.7);
    take.sound("note", 57, tone(2, 220), -12, ROOM).pause(2);
    List<Boolean> counted =
        cut(take, Kind.PITCHED).stream().map(r -> r.flags().contains(Flag.COUNT_IN)).toList();
    assertEquals(List.of(true, true, true, true, false, false, false), counted);
  }

  @Test
  void aNoteCutOffAtFullScaleIsRejectedAndOneThatTouchesItIsNot() throws IOException {
    float[] sound = tone(2, 220);
    TakeBuilder take = new TakeBuilder(RATE, 1).pause(2);
    take.sound("note", 57, sound, 6, ROOM).pause().sound("note", 57, sound, -0.5, ROOM).pause(2);
    Clip clip = take.build(ROOM);
    float[] x = clip.channel(0);
    for (int i = 0; i < x.length; i++) {
      x[i] = Math.max(-1, Math.min(1, x[i]));
    }
    List<Region> regions = cut(clip, Kind.PITCHED);
    assertTrue(regions.get(0).rejected());
    assertEquals(Set.of(Flag.CLIPPED), regions.get(0).flags());
    assertFalse(regions.get(1).rejected());
    assertEquals(Set.of(), regions.get(1).flags());
  }

  /** One channel alone clips or drops out; the mean of both would not show it. */
  @Test
  void aBrokenChannelIsSeenBesideAGoodOne() throws IOException {
    TakeBuilder take = new TakeBuilder(RATE, 1).pause(2);
    for (int i = 0; i < 3; i++) {
      take.sound("note", 57, tone(2, 220), -6, ROOM).pause();
    }
    Clip good = take.pause(2).build(ROOM);
    float[] bad = good.channel(0).clone();
    int first = take.events().get(0).start() + RATE;
    for (int i = 0; i < RATE / 2; i++) {
      bad[first + i] = Math.max(-1, Math.min(1, 4 * bad[first + i]));
    }
    int second = take.events().get(1).start() + RATE;
    Arrays.fill(bad, second, second + RATE / 200, 0);
    List<Region> regions = cut(Clip.of(RATE, good.channel(0), bad), Kind.PITCHED);
    assertEquals(Set.of(Flag.CLIPPED), regions.get(0).flags());
    assertEquals(Set.of(Flag.DROPOUT), regions.get(1).flags());
    assertEquals(Set.of(), regions.get(2).flags());
    assertEquals(List.of(true, true, false), regions.stream().map(Region::rejected).toList());
  }

  /** Gated takes have digital silence between notes and at their ends: nothing dropped out. */
  @Test
  void silenceBetweenNotesIsNoDropout() throws IOException {
    TakeBuilder take = new TakeBuilder(RATE, 1).pause(2);
    float[] plucked = tone(2, 8, i -> 220, i -> Math.exp(-i / (0.15 * RATE)));
    for (int i = 0; i < 3; i++) {
      take.sound("note", 57, plucked, -10, ROOM).pause();
    }
    Clip clip = take.build(-120);
    float[] x = clip.channel(0);
    for (int i = 0; i < x.length; i++) {
      x[i] = Math.abs(x[i]) < 1e-4 ? 0 : Math.round(x[i] * 32768) / 32768f;
    }
    for (Region region : cut(clip, Kind.PITCHED)) {
      assertEquals(Set.of(), region.flags());
    }
  }

  /** Regions and what lies between them, put together, are the take: in any pieces it arrives. */
  @Property(tries = 12)
  void cutAndRestAreTheTakeInPiecesOfAnySize(
      @ForAll @IntRange(min = 1, max = 1_000_000) int seed, @ForAll Kind kind) throws IOException {
    SplittableRandom random = new SplittableRandom(seed);
    TakeBuilder take = new TakeBuilder(RATE, seed).pause(0.2 + random.nextDouble());
    for (int i = 0; i < 4; i++) {
      double hertz = 110 * Math.pow(2, random.nextDouble() * 3);
      float[] sound =
          switch (random.nextInt(4)) {
            case 0 -> take.talk();
            case 1 -> take.knock();
            default -> tone(0.1 + 1.5 * random.nextDouble(), hertz);
          };
      take.sound("any", -1, sound, -40 + 35 * random.nextDouble(), ROOM);
      take.pause(0.05 + random.nextDouble()).back(0.05);
    }
    Clip clip = take.build(ROOM);
    SegmentSettings settings = SegmentSettings.forKind(kind);
    Segmentation whole = Segment.apply(clip.source(), settings);
    long at = 0;
    for (Region region : whole.regions()) {
      assertTrue(at <= region.start(), "regions overlap");
      assertTrue(region.start() <= region.onset() && region.onset() < region.end());
      at = region.end();
    }
    assertTrue(at <= whole.frames());
    assertEquals(clip.frames(), whole.frames());
    AudioSource drip =
        new PassingSource(clip.source()) {
          @Override
          public int read(float[][] planar, int offset, int count) throws IOException {
            return super.read(planar, offset, Math.min(count, 1 + random.nextInt(5000)));
          }
        };
    assertEquals(whole, Segment.apply(drip, settings));
  }
}
