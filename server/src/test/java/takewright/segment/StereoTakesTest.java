package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.Clip;
import takewright.pitch.Kind;
import takewright.testing.TakeBuilder;

/** A note is found whichever channel of a take in stereo it is in. */
class StereoTakesTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -66;

  private static float[] tone() {
    float[] x = new float[RATE];
    for (int i = 0; i < x.length; i++) {
      double loud = Math.min(1, i / (0.02 * RATE)) * Math.min(1, (x.length - i) / (0.1 * RATE));
      for (int k = 1; k <= 8; k++) {
        x[i] += (float) (loud * Math.sin(2 * Math.PI * k * 330 * i / RATE + k) / k);
      }
    }
    return x;
  }

  @ParameterizedTest
  @ValueSource(ints = {0, 1})
  void notesInOneChannelAreFound(int channel) throws IOException {
    TakeBuilder builder = new TakeBuilder(RATE, 61).pause(2.5);
    for (int i = 0; i < 3; i++) {
      builder.sound("note", 64, tone(), -14, ROOM_DBFS).pause(1.4);
    }
    Clip played = builder.build(ROOM_DBFS);
    Clip room = new TakeBuilder(RATE, 62).pause((double) played.frames() / RATE).build(ROOM_DBFS);
    float[] empty = Arrays.copyOf(room.mono(), played.frames());
    Clip take =
        channel == 0 ? Clip.of(RATE, played.mono(), empty) : Clip.of(RATE, empty, played.mono());
    List<Region> kept =
        Segment.apply(take.source(), SegmentSettings.forKind(Kind.PITCHED)).regions().stream()
            .filter(region -> !region.rejected())
            .toList();
    assertEquals(3, kept.size());
    for (int i = 0; i < 3; i++) {
      double late = kept.get(i).onset() - builder.events().get(i).onset();
      assertEquals(0, 1000 * late / RATE, 10, "ms");
    }
  }
}
