package takewright.library.match;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.junit.jupiter.api.Test;
import takewright.audio.Recording;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.segment.Region;
import takewright.sheet.Fills;
import takewright.sheet.Span;
import takewright.sheet.Take;
import takewright.sheet.TakeLines;
import takewright.sheet.TakePlan;
import takewright.sheet.TakeRules;
import takewright.sheet.Tempo;
import takewright.sheet.Treatment;
import takewright.sheet.cell.CellStatus;

/** At 60 beats per minute and four beats per bar: a beat is a second, the bar four (arithmetic). */
class BarsTest {
  private static final int RATE = 48_000;
  private static final Take TAKE = take(60.0);

  private static Take take(Double tempoBpm) {
    return new Take(
        0,
        TakeLines.at(3),
        "a.wav",
        Map.of("close", Recording.of(Path.of("a.wav"))),
        Span.WHOLE,
        "swell",
        Kind.PITCHED,
        new TakePlan(
            List.of(60),
            List.of("mf"),
            1,
            List.of(Take.Axis.NOTE, Take.Axis.DYNAMIC, Take.Axis.RR)),
        Fills.OWN,
        tempoBpm == null ? null : new Tempo(tempoBpm, 4, 1),
        10,
        TakeRules.DEFAULTS,
        List.of(),
        List.of(),
        Treatment.usual(Kind.PITCHED),
        null);
  }

  private static Region region(double onsetS, double endS, int midi, Flag... flags) {
    long onset = (long) (onsetS * RATE);
    return new Region(
        onset - 480,
        onset,
        (long) (endS * RATE),
        Kind.PITCHED,
        midi == 0 ? null : new Pitch(midi, 0, 440, 1),
        1,
        flags.length > 0,
        Flags.of(flags),
        -12,
        -20);
  }

  private static List<Region> fill(double takeS, Region... regions) {
    List<CellStatus> kept = List.of(regions).stream().map(r -> CellStatus.KEPT).toList();
    return Bars.fill(TAKE, List.of(regions), kept, RATE, (long) (takeS * RATE));
  }

  private static double endS(Region region) {
    return (double) region.end() / RATE;
  }

  @Test
  void aSoundShorterThanItsBarsIsKeptToTheirEnd() {
    Region filled = fill(30, region(10, 13.7, 60)).get(0);
    assertEquals(14, endS(filled));
    assertEquals(Set.of(), filled.flags(), "a swell fades before the bar ends");
  }

  @Test
  void aTailThatSoundsOnIsNotCut() {
    assertEquals(15.2, endS(fill(30, region(10, 15.2, 60)).get(0)));
  }

  @Test
  void theNextRegionAndTheEndOfTheTakeAreTheLimit() {
    List<Region> filled = fill(17.5, region(10, 13, 60), region(13.6, 17, 62));
    assertEquals((13.6 * RATE - 480) / RATE, endS(filled.get(0)));
    assertEquals(17.5, endS(filled.get(1)));
  }

  @Test
  void whatEndsMoreThanHalfABeatEarlyIsFlagged() {
    assertEquals(Set.of(), fill(30, region(10, 13.6, 60)).get(0).flags());
    assertEquals(Set.of(Flag.SHORT_OF_BARS), fill(30, region(10, 13.4, 60)).get(0).flags());
  }

  @Test
  void withoutATempoOrACellNothingIsFilled() {
    List<Region> regions = List.of(region(10, 11, 60));
    assertEquals(
        regions, Bars.fill(take(null), regions, List.of(CellStatus.KEPT), RATE, 30 * RATE));
    assertEquals(regions, Bars.fill(TAKE, regions, List.of(CellStatus.RETAKE), RATE, 30 * RATE));
  }

  @Test
  void aNoteSilentForUpToABeatWithinItsBarsIsOne() {
    Region first = region(10, 11.5, 60);
    assertEquals(1, Bars.join(TAKE, List.of(first, region(12.4, 14.2, 60)), RATE).size());
    assertEquals(
        1,
        Bars.join(TAKE, List.of(first, region(12.4, 14.2, 0, Flag.TOO_SHORT)), RATE).size(),
        "a part too faint to be told");
    Region one = Bars.join(TAKE, List.of(first, region(12.4, 14.2, 60)), RATE).get(0);
    assertEquals(first.start(), one.start());
    assertEquals(14.2, endS(one));
  }

  @Test
  void whatBelongsToAnotherNoteStaysApart() {
    Region first = region(10, 11.5, 60);
    for (Region second :
        List.of(
            region(12.6, 14, 60), // after more than a beat
            region(12.4, 14, 62), // another note
            region(12.4, 16, 60), // a whole note of its own: the first was broken off
            region(12.4, 14, 0, Flag.TALK),
            region(12.4, 12.6, 0, Flag.KNOCK))) {
      assertEquals(2, Bars.join(TAKE, List.of(first, second), RATE).size(), second.toString());
    }
    assertEquals(
        2, Bars.join(take(null), List.of(first, region(12.4, 14, 60)), RATE).size(), "no tempo");
  }
}
