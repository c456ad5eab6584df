package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.util.Arrays;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.Clip;
import takewright.diagnosis.Flag;
import takewright.pitch.Kind;
import takewright.testing.TakeBuilder;

/** From three samples in a row at full scale a peak is cut off (common practice). */
class ClippedSamplesTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -66;

  @ParameterizedTest
  @ValueSource(ints = {2, 3, 5})
  void aFewSamplesAtFullScaleAreSeen(int inARow) throws IOException {
    float[] x = new float[RATE];
    for (int i = 0; i < x.length; i++) {
      double loud = Math.min(1, i / (0.02 * RATE)) * Math.min(1, (x.length - i) / (0.1 * RATE));
      for (int k = 1; k <= 8; k++) {
        x[i] += (float) (loud * Math.sin(2 * Math.PI * k * 220 * i / RATE + k) / k);
      }
    }
    TakeBuilder builder = new TakeBuilder(RATE, 63).pause(2.5);
    builder.sound("note", 57, x, -6, ROOM_DBFS).pause(2);
    Clip take = builder.build(ROOM_DBFS);
    int at = builder.events().get(0).onset() + RATE / 2;
    Arrays.fill(take.channel(0), at, at + inARow, 1);
    List<Region> regions =
        Segment.apply(take.source(), SegmentSettings.forKind(Kind.PITCHED)).regions();
    assertEquals(1, regions.size());
    assertEquals(inARow < 3 ? Set.of() : Set.of(Flag.CLIPPED), regions.get(0).flags());
  }
}
