package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.diagnosis.Flag;
import takewright.pitch.Kind;

/** How many beats make a count-in: three or more (common practice: a bar of three or four). */
class CountInTest {
  private static final int RATE = 48_000;

  private static Region at(double seconds, double lengthS, boolean rejected) {
    long onset = (long) (seconds * RATE);
    long end = onset + (long) (lengthS * RATE);
    return new Region(onset - 480, onset, end, Kind.PITCHED, null, 1, rejected, Set.of(), -12, -20);
  }

  @ParameterizedTest
  @CsvSource({"1, 0", "2, 0", "3, 3", "4, 4"})
  void twoKnocksAreNone(int beats, long marked) {
    List<Region> out = new ArrayList<>();
    CountIn countIn = new CountIn(RATE, out::add);
    for (int i = 0; i < beats; i++) {
      countIn.accept(at(1 + 0.5 * i, 0.1, true));
    }
    countIn.accept(at(1 + 0.5 * beats, 2, false));
    countIn.finish();
    assertEquals(beats + 1, out.size());
    assertEquals(marked, out.stream().filter(r -> r.flags().contains(Flag.COUNT_IN)).count());
    assertEquals(Set.of(), out.get(beats).flags());
  }
}
