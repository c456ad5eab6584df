package takewright.layer;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.audio.Clip;

class RoomTest {
  private static final int RATE = Measure.RATE;

  private static float[] noise(int frames, long seed) {
    Random random = new Random(seed);
    float[] x = new float[frames];
    for (int i = 0; i < frames; i++) {
      x[i] = (float) (0.05 * random.nextGaussian());
    }
    return x;
  }

  /** A response that comes late, with its largest sample first. */
  private static float[] lateResponse(int late, int frames, long seed) {
    float[] h = noise(frames, seed);
    for (int i = 0; i < frames; i++) {
      h[i] = i < late ? 0 : h[i] * (float) Math.exp(-6.9 * (i - late) / (frames - late));
    }
    h[late] = 0.5f;
    return h;
  }

  /** Sample plus room, where the room is the plain convolution, by the sum that defines it. */
  @Test
  void isTheSampleBesideItsConvolution() {
    int late = 700;
    float[] x = noise(4000, 1);
    float[] h = lateResponse(late, 3000, 2);
    LayerResult result =
        MakeLayer.apply(
            Clip.of(RATE, x), LayerSettings.of(new RoomSettings(Clip.of(RATE, h), -6, 0, true)));
    float[] y = result.audio().channel(0);
    assertEquals(0, result.gainDb());
    assertEquals(4000 + 3000 - 1 - late, y.length);
    double gain = Math.pow(10, -6 / 20.0) / Math.sqrt(Measure.energy(h));
    double worst = 0;
    double peak = 0;
    // The last 50 ms are faded.
    for (int i = 0; i < y.length - RATE / 20; i++) {
      double wanted = i < x.length ? x[i] : 0;
      for (int k = Math.max(0, i + late - x.length + 1); k < h.length && k <= i + late; k++) {
        wanted += gain * h[k] * x[i + late - k];
      }
      worst = Math.max(worst, Math.abs(wanted - y[i]));
      peak = Math.max(peak, Math.abs(wanted));
    }
    assertTrue(20 * Math.log10(worst / peak) < -120);
    assertTrue(Math.abs(y[y.length - 1]) < 1e-6, "faded into nothing");
  }

  @Test
  void wetIsTheRoomsLevelForNoise() {
    float[] x = noise(5 * RATE, 3);
    Clip room = Clip.of(RATE, lateResponse(100, RATE, 4));
    for (double wetDb : new double[] {-12, 0}) {
      Clip wet =
          MakeLayer.apply(
                  Clip.of(RATE, x), LayerSettings.of(new RoomSettings(room, wetDb, 0, false)))
              .audio();
      double db = 10 * Math.log10(Measure.energy(wet.channel(0)) / Measure.energy(x));
      assertEquals(wetDb, db, 0.3);
    }
  }

  @Test
  void theSampleStaysWhereItWasAndTheRoomComesAfterThePreDelay() {
    float[] x = new float[10_000];
    x[480] = 0.25f;
    Clip room = Clip.of(RATE, lateResponse(2000, 5000, 5));
    Clip layer =
        MakeLayer.apply(Clip.of(RATE, x), LayerSettings.of(new RoomSettings(room, -6, 20, true)))
            .audio();
    float[] y = layer.channel(0);
    assertEquals(0.25, y[480], 1e-6);
    double loudest = 0;
    for (int i = 0; i < 480 + 960 - 1; i++) {
      loudest = Math.max(loudest, i == 480 ? 0 : Math.abs(y[i]));
    }
    assertEquals(0, loudest, 1e-6);
    assertTrue(Math.abs(y[480 + 960]) > 0.05, "the room's first sound");
  }

  /** A response of another rate is the same room: the same level and the same decay. */
  @ParameterizedTest
  @CsvSource({"44100", "96000", "22050"})
  void aResponseMayHaveAnyRate(int rate) {
    RoomShape shape = new RoomShape(12, 9, 5, 0.25);
    Clip here = ComputedRoom.impulse(shape, RATE, 1);
    Clip there = ComputedRoom.impulse(shape, rate, 1);
    Clip impulse = Measure.impulse(1, RATE, 0.5f);
    double t = Measure.t30(wet(impulse, here).channel(0), RATE);
    double u = Measure.t30(wet(impulse, there).channel(0), RATE);
    assertEquals(t, u, 0.05 * t);
    assertEquals(
        10 * Math.log10(Measure.energy(wet(impulse, here).channel(0))),
        10 * Math.log10(Measure.energy(wet(impulse, there).channel(0))),
        1);
  }

  private static Clip wet(Clip sample, Clip room) {
    return MakeLayer.apply(sample, LayerSettings.of(new RoomSettings(room, 0, 0, false))).audio();
  }

  @Test
  void channelsFollowTheResponse() {
    Clip one = Clip.of(RATE, noise(3000, 6));
    Clip two = Clip.of(RATE, noise(3000, 7), noise(3000, 8));
    float[][] h = new float[4][];
    for (int i = 0; i < 4; i++) {
      h[i] = lateResponse(0, 2000, 10 + i);
    }
    assertEquals(1, wet(one, Clip.of(RATE, h[0])).channels());
    assertEquals(2, wet(one, Clip.of(RATE, h[0], h[1])).channels());
    assertEquals(2, wet(two, Clip.of(RATE, h[0])).channels());
    assertEquals(2, wet(two, Clip.of(RATE, h[0], h[1])).channels());
    assertEquals(2, wet(one, Clip.of(RATE, h)).channels());
    // Only the left channel sounds: the right one of the result is the way from left to right.
    Clip left = Clip.of(RATE, one.channel(0), new float[3000]);
    Clip crossed = wet(left, Clip.of(RATE, h));
    Clip alone = wet(one, Clip.of(RATE, h[1]));
    double ratio = Math.sqrt(Measure.energy(crossed.channel(1)) / Measure.energy(alone.channel(0)));
    float[] scaled = alone.channel(0).clone();
    for (int i = 0; i < scaled.length; i++) {
      scaled[i] *= (float) ratio;
    }
    assertArrayEquals(scaled, crossed.channel(1), 1e-5f);
    IllegalArgumentException e =
        assertThrows(
            IllegalArgumentException.class, () -> wet(one, Clip.of(RATE, h[0], h[1], h[2])));
    assertTrue(e.getMessage().contains("3 channels"), e.getMessage());
  }

  /** Rooms from a booth to a church against Eyring's formula, by Schroeder integration. */
  @ParameterizedTest
  @CsvSource({
    "2.5,2,2.2,0.3",
    "5,4,2.6,0.35",
    "8,6,3,0.15",
    "12,9,5,0.2",
    "22,15,10,0.2",
    "30,20,12,0.5",
    "40,22,18,0.06",
    "60,5,3,0.2",
    "9,9,9,0.7"
  })
  void computedRoomsDieAwayAsEyringSays(double l, double w, double h, double absorption) {
    RoomShape shape = new RoomShape(l, w, h, absorption);
    double surface = 2 * (l * w + l * h + w * h);
    // Eyring 1930 with the usual constant for air at 20 degrees.
    double eyring = 0.161 * l * w * h / (-surface * Math.log(1 - absorption));
    assertEquals(eyring, shape.decayS(), 0.002 * eyring);
    if (absorption < 0.1) {
      // Sabine's formula is what Eyring's becomes where little is swallowed.
      assertEquals(0.161 * l * w * h / (surface * absorption), eyring, 0.05 * eyring);
    }
    Clip room = ComputedRoom.impulse(shape, RATE, 2);
    for (int c = 0; c < room.channels(); c++) {
      assertEquals(eyring, Measure.t30(room.channel(c), RATE), 0.1 * eyring);
    }
  }

  /** The direct sound and the first reflections, by hand from the room's measures. */
  @Test
  void theDirectSoundAndTheFloorComeWhenTheyMust() {
    RoomShape shape = new RoomShape(20, 14, 8, 0.2);
    Clip room = ComputedRoom.impulse(shape, RATE, 1);
    double dx = 0.37 * 20;
    double dy = 0.06 * 14 - 0.25;
    double direct = Math.sqrt(dx * dx + dy * dy + 1.1 * 1.1) / 343 * RATE;
    double floor = Math.sqrt(dx * dx + dy * dy + 3.7 * 3.7) / 343 * RATE;
    float[] h = room.channel(0);
    int peak = 0;
    for (int i = 0; i < h.length; i++) {
      peak = Math.abs(h[i]) > Math.abs(h[peak]) ? i : peak;
    }
    assertEquals(direct, peak, 1);
    int at = (int) Math.round(floor);
    double reflected =
        Math.max(Math.abs(h[at]), Math.max(Math.abs(h[at - 1]), Math.abs(h[at + 1])));
    double before = 0;
    for (int i = peak + 40; i < at - 40; i++) {
      before = Math.max(before, Math.abs(h[i]));
    }
    assertTrue(reflected > 3 * before, reflected + " against " + before);
  }

  @Test
  void whatCannotBeARoomIsRefused() {
    assertThrows(IllegalArgumentException.class, () -> new RoomShape(1, 5, 5, 0.2));
    assertThrows(IllegalArgumentException.class, () -> new RoomShape(100, 100, 100, 0.02));
    assertThrows(
        IllegalArgumentException.class, () -> RoomSettings.of(Clip.of(RATE, new float[100])));
  }
}
