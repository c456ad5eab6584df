package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.SplittableRandom;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import takewright.pitch.PitchDetector;
import takewright.segment.room.Columns;
import takewright.segment.room.Room;
import takewright.segment.room.RoomModel;

/** A hit in a room that is learnt anew, and turns out far softer, while it rises. */
class NextNoteTest {
  private static final int RATE = 48_000;

  /** When the hit and a soft sound just before it begin, in seconds. */
  private static final double HIT_S = 1;

  private static final double SOFT_S = 0.97;

  private final Columns columns = new Columns(RATE, 3, 3);
  private final Room loud = room(-50);
  private final Room soft = room(-90);

  /** A room of a level in dB, the same in all bands. */
  private static Room room(double db) {
    Columns columns = new Columns(RATE, 1, 1);
    int length = 480;
    RoomModel model = new RoomModel(columns.bandCount(), length, length, length, at -> false);
    SplittableRandom random = new SplittableRandom(3);
    float[] column = new float[columns.bandCount()];
    for (int k = 0; k < 2 * length; k++) {
      Arrays.fill(column, (float) Math.pow(10, (db + random.nextDouble()) / 10));
      model.add(column, true, 0);
    }
    Room room = new Room(column.length, 9, 3);
    model.at(length, room);
    return room;
  }

  @BeforeEach
  void aHit() {
    SplittableRandom random = new SplittableRandom(7);
    float[] x = new float[2 * RATE];
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE;
      x[i] = (float) (1e-5 * (random.nextDouble() - 0.5));
      for (int p = 1; p < 8 && t >= SOFT_S; p++) {
        x[i] += (float) (0.001 * Math.sin(2 * Math.PI * (2900 + 900 * p) * t));
      }
      double rises = Math.max(0, Math.min(1, (t - HIT_S) / 0.04));
      x[i] += (float) (0.2 * rises * Math.sin(2 * Math.PI * 440 * t));
    }
    for (int done = 0; done < x.length; ) {
      int count = (int) Math.min(x.length - done, columns.framesToNext());
      columns.append(new float[][] {x}, done, count);
      done += count;
      if (columns.framesToNext() == 0) {
        columns.measure();
      }
    }
  }

  private NextNote fresh() {
    return new NextNote(columns, new HeldPitch(columns, new PitchDetector(RATE)));
  }

  private static boolean begins(NextNote next, long column, Room room) {
    return next.begins(column, column, 0.01, room, false);
  }

  /** The column in which the hit begins by one room. */
  private long begin(Room room) {
    long column = columns.columnsOf(HIT_S) - 4;
    NextNote next = fresh();
    while (!begins(next, column, room)) {
      column++;
    }
    return column;
  }

  /** The peak of its rise lies in another column by each room, and passes by neither. */
  @Test
  void aHitIsHeardThoughTheRoomIsLearntAnewMeanwhile() {
    long peak = begin(loud);
    assertFalse(begins(fresh(), peak, soft), "by the softer room it began before");
    NextNote next = fresh();
    for (long column = peak - 4; column < peak; column++) {
      assertFalse(begins(next, column, loud));
    }
    assertTrue(begins(next, peak, soft));
  }
}
