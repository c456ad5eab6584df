package takewright.segment.room;

import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/** What is learnt of a room where one side of a moment holds the end of a sound. */
class RoomModelTest {
  private static final int BANDS = 20;
  private static final int BAND = 7;
  private static final int COLUMNS = 480;

  /** How far above its power a band must lie to stay and to fade, in dB. */
  private record Above(double stayDb, double fadeDb) {}

  /**
   * A room whose level wanders by 5 dB from slab to slab.
   *
   * @param riseDb how much louder a band is in every third slab behind the middle
   * @param bothSides whether it is before the middle as well
   * @param fallDb how much softer the band is in every fourth slab
   */
  private static Above learn(double riseDb, boolean bothSides, double fallDb) {
    SplittableRandom random = new SplittableRandom(3);
    RoomModel model = new RoomModel(BANDS, COLUMNS, COLUMNS, 40, column -> false);
    float[] column = new float[BANDS];
    double wander = 0;
    for (int k = 0; k < 2 * COLUMNS; k++) {
      wander = k % Slabs.COLUMNS == 0 ? 5 * (random.nextDouble() - 0.5) : wander;
      boolean isRisen = (bothSides || k >= COLUMNS) && k / Slabs.COLUMNS % 3 == 0;
      for (int b = 0; b < BANDS; b++) {
        double db =
            -70 + wander + 6 * (random.nextDouble() - 0.5) + (isRisen && b == BAND ? riseDb : 0);
        db -= b == BAND && k / Slabs.COLUMNS % 4 == 1 ? fallDb : 0;
        column[b] = (float) Math.pow(10, db / 10);
      }
      model.add(column, true, 0);
    }
    Room room = new Room(BANDS, 9, 1);
    model.at(COLUMNS, room);
    return new Above(above(room, room.stay(BAND)), above(room, room.fade(BAND)));
  }

  private static double above(Room room, float threshold) {
    return 10 * Math.log10(threshold / room.power(BAND));
  }

  /** What may be a rail joint still counts for staying, but a sound that falls is followed. */
  @Test
  void whatOneSideHoldsOfAnEndIsToldByTheOthers() {
    Above even = learn(0, false, 0);
    assertTrue(even.stayDb() < even.fadeDb() + 1, "" + even);
    Above risen = learn(9.5, false, 0);
    assertTrue(risen.stayDb() > risen.fadeDb() + 5, "" + risen);
    // Also where the band strays downwards as far, which tells nothing of how far up.
    Above both = learn(9.5, false, 12);
    assertTrue(both.stayDb() > both.fadeDb() + 5, "" + both);
  }

  /** What lifts a band now and then, on both sides, may be ends of sounds: none lowers it. */
  @Test
  void aFallingSoundIsFollowedDownToHowFarTheRoomStraysDownwards() {
    Above risen = learn(5, true, 0);
    assertTrue(risen.stayDb() > risen.fadeDb() + 4, "" + risen);
    assertTrue(risen.fadeDb() > 2.5, "the room strays by 2.5 dB downwards: " + risen);
  }

  /**
   * A low string that dies away through every pause is no room: the pauses' ends show how it is.
   */
  @Test
  void whatFallsInEveryPauseIsFollowedToThePausesEnds() {
    assertTrue(fadeInPausesDbfs(0) < -66, "" + fadeInPausesDbfs(0));
    assertTrue(fadeInPausesDbfs(8) < -66, "" + fadeInPausesDbfs(8));
  }

  /**
   * The threshold in a band, in dBFS, where pauses of a second lie between notes, in a room of -70.
   *
   * @param fallDb how far the band falls in each pause, down to the room
   */
  private static double fadeInPausesDbfs(double fallDb) {
    SplittableRandom random = new SplittableRandom(4);
    RoomModel model = new RoomModel(BANDS, COLUMNS, COLUMNS, 40, column -> false);
    float[] column = new float[BANDS];
    for (int k = 0; k < 2 * COLUMNS; k++) {
      int slab = k / Slabs.COLUMNS % 16;
      double ring = Math.max(0, fallDb * (13 - slab) / 6);
      for (int b = 0; b < BANDS; b++) {
        double db = -70 + 4 * (random.nextDouble() - 0.5) + (b == BAND ? ring : 0);
        column[b] = (float) Math.pow(10, (slab < 8 ? db + 40 : db) / 10);
      }
      model.add(column, true, 0);
    }
    Room room = new Room(BANDS, 9, 1);
    model.at(COLUMNS, room);
    return 10 * Math.log10(room.fade(BAND));
  }
}
