package takewright.library.sample;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.layer.ComputedRoom;
import takewright.layer.Effect;
import takewright.layer.LayerSettings;
import takewright.layer.MakeLayer;
import takewright.layer.RoomSettings;
import takewright.layer.RoomShape;

class LayerMakerTest {
  private static final int RATE = 48_000;

  /** A looped tone: its loop is a whole number of periods. */
  private static Clip tone() {
    float[] x = new float[RATE];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (0.2 * Math.min(1, i / 4800.0) * Math.sin(2 * Math.PI * 480 * i / RATE));
    }
    return Clip.of(RATE, x);
  }

  /** By how much the last turn of a loop differs from the one before, against its own level. */
  private static double differenceDb(Clip clip, int start, int length) {
    double sum = 0;
    double difference = 0;
    for (int i = start; i < start + length; i++) {
      double d = clip.channel(0)[i] - clip.channel(0)[i - length];
      sum += clip.channel(0)[i] * clip.channel(0)[i];
      difference += d * d;
    }
    return 10 * Math.log10(difference / sum + 1e-20);
  }

  @Test
  void aLoopHasSettledWhereItIsUnrolled() {
    int start = 24_000;
    int length = 9600;
    LayerSettings room =
        LayerSettings.of(
            RoomSettings.of(ComputedRoom.impulse(new RoomShape(15, 11, 6, 0.2), RATE, 1)));
    LayerSettings fx =
        LayerSettings.of(new Effect.Delay(130, 0.5, 3000.0, -6), new Effect.Reverb(1.5, 0.5, -6));
    for (LayerSettings settings : new LayerSettings[] {room, fx}) {
      Clip once = MakeLayer.apply(tone(), settings).audio();
      int turns = (int) Math.ceil((double) (once.frames() - RATE) / length);
      Clip unrolled = LayerMaker.unrolled(tone(), start, length, turns);
      assertEquals(RATE + turns * length, unrolled.frames());
      Clip layer = MakeLayer.apply(unrolled, settings).audio();
      // At the same frames the room is still filling; after the turns it goes round in itself.
      assertTrue(differenceDb(once, start, length) > -35);
      double db = differenceDb(layer, start + turns * length, length);
      assertTrue(db < -70, db + " dB");
    }
  }

  @Test
  void anUnrolledLoopGoesOnWhereItLeftOff() {
    float[] x = {0, 1, 2, 3, 4, 5};
    for (int i = 0; i < x.length; i++) {
      x[i] /= 8;
    }
    Clip unrolled = LayerMaker.unrolled(Clip.of(RATE, x), 2, 2, 2);
    double[] wanted = {0, 1, 2, 3, 2, 3, 2, 3, 4, 5};
    assertEquals(wanted.length, unrolled.frames());
    for (int i = 0; i < wanted.length; i++) {
      assertEquals(wanted[i] / 8, unrolled.channel(0)[i]);
    }
  }
}
