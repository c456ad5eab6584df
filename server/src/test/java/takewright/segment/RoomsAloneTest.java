package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.junit.jupiter.params.provider.NullSource;
import takewright.audio.Clip;
import takewright.pitch.Kind;

/** A machine next door that clinks five times in a minute and a half of made noise at -60 dBFS. */
class RoomsAloneTest {
  private static final int RATE = 48_000;
  private static final int CLINKS = 5;
  private static final double CLINK_S = 0.1;

  private static float[] room(double clinkPeakDbfs) {
    SplittableRandom random = new SplittableRandom(23);
    float[] x = new float[90 * RATE];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (0.00173 * (2 * random.nextDouble() - 1));
    }
    double peak = Math.pow(10, clinkPeakDbfs / 20);
    int length = (int) (CLINK_S * RATE);
    for (int n = 0; n < CLINKS; n++) {
      int at = (int) ((11.3 + 16.4 * n) * RATE);
      for (int i = 0; i < length; i++) {
        double window = Math.sin(Math.PI * i / length);
        x[at + i] += (float) (peak * window * Math.sin(2 * Math.PI * 2000 * i / RATE));
      }
    }
    return x;
  }

  private static List<Region> cut(float[] x, Kind kind) throws IOException {
    return Segment.apply(Clip.of(RATE, x).source(), SegmentSettings.forKind(kind)).regions();
  }

  /** Such a clink starts a region, but is no louder by far than what does so by chance. */
  @ParameterizedTest
  @NullSource
  @EnumSource
  void whatHardlyStartsARegionIsTheRoom(Kind kind) throws IOException {
    assertEquals(List.of(), cut(room(-60), kind));
  }

  @ParameterizedTest
  @NullSource
  @EnumSource
  void whatStandsClearOfTheRoomIsARegion(Kind kind) throws IOException {
    assertEquals(CLINKS, cut(room(-48), kind).size());
  }

  @ParameterizedTest
  @NullSource
  @EnumSource
  void theSameIsSaidWhileRecording(Kind kind) {
    assertEquals(0, told(room(-60), kind));
    assertEquals(CLINKS, told(room(-48), kind));
  }

  /** How many sounds are told of at once. */
  private static int told(float[] x, Kind kind) {
    List<Region> told = new ArrayList<>();
    Segmenter quick =
        new Segmenter(RATE, 1, SegmentSettings.forKind(kind), region -> {}, told::add);
    quick.push(new float[][] {x}, x.length);
    quick.finish();
    return (int) told.stream().mapToLong(Region::onset).distinct().count();
  }
}
