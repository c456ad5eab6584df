package takewright.library.take;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.junit.jupiter.api.Test;
import takewright.audio.Recording;
import takewright.diagnosis.Flag;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.segment.Region;
import takewright.sheet.Fills;
import takewright.sheet.Span;
import takewright.sheet.Take;
import takewright.sheet.TakeLines;
import takewright.sheet.TakeRules;
import takewright.sheet.Treatment;

/** What of a take is no sample, however it sounds. */
class CutTakeTest {
  private static final int RATE = 48_000;

  private static Region sounding(double seconds) {
    long end = 480 + Math.round(seconds * RATE);
    return new Region(
        0, 480, end, Kind.PITCHED, new Pitch(60, 0, 261.6, 1), 1, false, Set.of(), -12, -20);
  }

  /** Two minutes are longer than any note is held: somebody played through (common practice). */
  @Test
  void whatGoesOnForMinutesIsNoSample() {
    List<Region> found = List.of(sounding(110), sounding(130));
    List<Region> joined = CutTake.joined(take(), found, RATE);
    assertEquals(List.of(false, true), joined.stream().map(Region::rejected).toList());
    assertEquals(Set.of(), joined.get(0).flags());
    assertEquals(Set.of(Flag.TOO_LONG), joined.get(1).flags());
  }

  private static Take take() {
    return new Take(
        0,
        TakeLines.at(3),
        "a.wav",
        Map.of("close", Recording.of(Path.of("a.wav"))),
        Span.WHOLE,
        "swell",
        Kind.PITCHED,
        List.of(60),
        List.of("mf"),
        1,
        List.of(Take.Axis.NOTE, Take.Axis.DYNAMIC, Take.Axis.RR),
        Fills.OWN,
        null,
        4,
        1,
        10,
        TakeRules.DEFAULTS,
        List.of(),
        List.of(),
        Treatment.usual(Kind.PITCHED),
        null);
  }
}
