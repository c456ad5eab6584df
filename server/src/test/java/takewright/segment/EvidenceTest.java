package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import takewright.segment.room.Columns;
import takewright.segment.room.Room;
import takewright.segment.room.RoomModel;

/** What shows that a sound starts behind one that has ended. */
class EvidenceTest {
  private static final int RATE = 48_000;
  private static final double ROOM_S = 4;
  private static final double SECONDS = 7;

  /** Amplitudes of a room, of a hiss in a recording, and of what starts over it. */
  private static final double ROOM = 0.0005;

  private static final double HISS = 0.004;
  private static final double STROKE = 0.04;

  /** From here on it is heard, in seconds. */
  private static final double STROKE_S = 5.5;

  private final Columns columns = new Columns(RATE, SECONDS + 1, SECONDS + 1);
  private final Room room = new Room(columns.bandCount(), 9, 1);
  private final Evidence evidence = new Evidence(columns, room);

  private void hear() {
    int around = (int) columns.columnsOf(ROOM_S / 2);
    RoomModel model = new RoomModel(columns.bandCount(), around, around, 10, column -> false);
    SplittableRandom random = new SplittableRandom(4);
    float[] sample = new float[1];
    for (int i = 0; i < SECONDS * RATE; i++) {
      double t = (double) i / RATE;
      double loud = t < ROOM_S ? ROOM : t < STROKE_S ? HISS : STROKE;
      sample[0] = (float) (loud * (2 * random.nextDouble() - 1));
      columns.append(new float[][] {sample}, 0, 1);
      if (columns.framesToNext() == 0) {
        columns.measure();
        if (t < ROOM_S - 0.1) {
          model.add(columns.latest(), columns.isLive(), columns.prominence());
        }
      }
    }
    model.at(around, room);
  }

  private long at(double seconds) {
    return columns.columnsOf(seconds);
  }

  @Test
  void whatHissesOnBehindANoteIsNoOtherSound() {
    hear();
    assertFalse(evidence.starts(at(2)), "the room");
    assertTrue(evidence.starts(at(5)), "louder than the room");
    for (double t = 4.6; t < 5.3; t += 0.1) {
      assertFalse(evidence.startsBehind(at(4.5), at(t)), "goes on " + t + " s");
    }
    assertTrue(evidence.startsBehind(at(5.2), at(STROKE_S + 0.1)), "far louder");
  }

  @Test
  void whatStartsBehindAPauseIsAnotherSound() {
    hear();
    assertTrue(evidence.startsBehind(at(3.8), at(4.3)));
    assertFalse(evidence.startsBehind(at(2), at(2.4)), "the room");
  }
}
