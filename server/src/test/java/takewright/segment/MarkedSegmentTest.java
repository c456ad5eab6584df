package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import net.jqwik.api.constraints.Size;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.Clip;
import takewright.pitch.Kind;
import takewright.testing.Recordings;
import takewright.testing.TakeBuilder;

/** Regions that a person marked, in takes made of recordings. */
class MarkedSegmentTest {
  private static final SegmentSettings PITCHED = SegmentSettings.forKind(Kind.PITCHED);
  private static final double ROOM_DBFS = -60;

  private static TakeBuilder session() {
    List<Recordings.Note> all = Recordings.of("violin");
    TakeBuilder take = new TakeBuilder(all.get(0).read(0.1).sampleRate(), 7).pause(2);
    for (int i = 0; i < all.size(); i += 4) {
      float[] sound = TakeBuilder.faded(all.get(i).read(2));
      take.sound("note", all.get(i).midi(), sound, -12, ROOM_DBFS).pause();
      take.sound("talk", -1, take.talk(), -20, ROOM_DBFS).pause();
    }
    return take;
  }

  private static List<TakeBuilder.Event> notes(TakeBuilder take) {
    return take.events().stream().filter(e -> e.what().equals("note")).toList();
  }

  private static Segmentation marked(Clip take, List<MarkedSpan> spans) throws IOException {
    return Segment.marked(take.source(), PITCHED, spans);
  }

  /**
   * The lead-in that a person leaves may be short or longer than what is looked at for an onset.
   */
  @ParameterizedTest
  @ValueSource(doubles = {0, 0.02, 0.3, 1.6})
  void theCutIsWhereItWasMarkedAndTheOnsetIsFoundInIt(double leadInS) throws IOException {
    TakeBuilder builder = session();
    Clip take = builder.build(ROOM_DBFS);
    int rate = take.sampleRate();
    List<MarkedSpan> spans = new ArrayList<>();
    for (TakeBuilder.Event note : notes(builder)) {
      spans.add(
          new MarkedSpan(note.start() - (long) (leadInS * rate), note.end() - 3L * rate / 10));
    }
    // With the longest lead-in some talk lies in it.
    boolean isTalkNear = leadInS > 1;

    List<Region> regions = marked(take, spans).regions();

    assertEquals(spans.size(), regions.size());
    for (int i = 0; i < regions.size(); i++) {
      Region region = regions.get(i);
      TakeBuilder.Event note = notes(builder).get(i);
      assertEquals(spans.get(i), new MarkedSpan(region.start(), region.end()));
      assertEquals(note.midi(), region.pitch().midi(), region::toString);
      if (!isTalkNear) {
        double late = 1000.0 * (region.onset() - note.onset()) / rate;
        assertTrue(Math.abs(late) <= 20, () -> "onset off by " + late + " ms: " + region);
        assertTrue(!region.rejected(), region::toString);
      }
    }
  }

  @Test
  void aMarkWithoutALengthEndsWhereTheSoundDiesAwayOrTheNextBegins() throws IOException {
    TakeBuilder builder = session();
    Clip take = builder.build(ROOM_DBFS);
    int rate = take.sampleRate();
    TakeBuilder.Event first = notes(builder).get(0);
    TakeBuilder.Event second = notes(builder).get(1);
    long middle = (first.start() + first.end()) / 2;

    List<Region> regions =
        marked(
                take,
                List.of(
                    new MarkedSpan(first.start(), null),
                    new MarkedSpan(middle, null),
                    new MarkedSpan(second.start(), null)))
            .regions();

    assertEquals(3, regions.size());
    assertEquals(middle, regions.get(0).end(), "the next begins there");
    assertEquals(middle, regions.get(1).start());
    // The found regions are where the usual segmentation ends them.
    List<Region> found = Segment.apply(take.source(), PITCHED).regions();
    for (int i = 1; i < 3; i++) {
      TakeBuilder.Event note = notes(builder).get(i - 1);
      Region usual = found.stream().filter(r -> r.end() > note.start()).findFirst().orElseThrow();
      double later = (double) (regions.get(i).end() - usual.end()) / rate;
      assertTrue(Math.abs(later) <= 0.1, "ends " + later + " s later than usual");
    }
  }

  @Test
  void regionsThatOverlapAreAllMeasured() throws IOException {
    TakeBuilder builder = session();
    Clip take = builder.build(ROOM_DBFS);
    TakeBuilder.Event first = notes(builder).get(0);
    TakeBuilder.Event second = notes(builder).get(1);
    MarkedSpan both = new MarkedSpan(first.start() - 1000, (long) second.end());
    MarkedSpan inner = new MarkedSpan(second.start() - 500, (long) second.end());

    List<Region> regions = marked(take, List.of(inner, both)).regions();

    assertEquals(2, regions.size());
    assertEquals(both.end(), regions.get(0).end());
    assertEquals(second.midi(), regions.get(1).pitch().midi());
  }

  @Test
  void whatWasNotMarkedIsNoRegionAndNoRoomToneEither() throws IOException {
    TakeBuilder builder = session();
    Clip take = builder.build(ROOM_DBFS);
    TakeBuilder.Event only = notes(builder).get(2);
    MarkedSpan span = new MarkedSpan(only.start() - 20_000, (long) only.end());

    Segmentation marked = marked(take, List.of(span));

    assertEquals(1, marked.regions().size());
    Segmentation found = Segment.apply(take.source(), PITCHED);
    assertEquals(found.roomToneDbfs(), marked.roomToneDbfs(), 1e-9);
    assertTrue(found.roomTone().containsAll(marked.roomTone()));
    assertTrue(marked.roomTone().size() >= found.roomTone().size() - 1);
    assertTrue(
        marked.roomTone().stream()
            .noneMatch(tone -> tone.start() < span.end() && span.start() < tone.end()));
  }

  @Property(tries = 60)
  void anyMarksGiveTheirRegions(
      @ForAll @Size(max = 6) List<@IntRange(max = 100_000) Integer> starts,
      @ForAll @Size(value = 6) List<@IntRange(min = 1, max = 60_000) Integer> lengths)
      throws IOException {
    float[] sound = new float[80_000];
    for (int i = 20_000; i < 45_000; i++) {
      sound[i] = (float) (0.3 * Math.sin(2 * Math.PI * 440 * i / 16_000));
    }
    List<MarkedSpan> spans = new ArrayList<>();
    List<FrameRange> expected = new ArrayList<>();
    for (int i = 0; i < starts.size(); i++) {
      long start = starts.get(i);
      spans.add(new MarkedSpan(start, start + lengths.get(i)));
      if (start < sound.length) {
        expected.add(new FrameRange(start, Math.min(sound.length, start + lengths.get(i))));
      }
    }

    List<Region> regions = marked(Clip.of(16_000, sound), spans).regions();

    assertEquals(
        sorted(expected),
        sorted(regions.stream().map(r -> new FrameRange(r.start(), r.end())).toList()));
    for (Region region : regions) {
      assertTrue(region.onset() >= region.start() && region.onset() < region.end());
      assertTrue(Double.isFinite(region.levelDbfs()));
    }
  }

  private static List<String> sorted(List<FrameRange> ranges) {
    return ranges.stream().map(FrameRange::toString).sorted().toList();
  }
}
