package takewright.segment.room;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/**
 * A sound of two bands in a room of -70 dB in each and -60 in all. Its levels are given column by
 * column, so that where a line meets a level follows from its slope.
 */
class FadingBandsTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DB = -70;
  private static final double TOTAL_DB = -60;

  /** The room keeps a sound going from 6 dB over it on, and one that falls from 3 dB on. */
  private static final double STAY_DB = 6;

  private static final int LOW = 3;
  private static final int HIGH = 9;

  private final Columns columns = new Columns(RATE, 1, 1);
  private final double second = (double) RATE / columns.hop();
  private final Room room = new Room(columns.bandCount(), 9, 3);
  private FadingBands fading;
  private long column;
  private double mostDb;

  @BeforeEach
  void aRoom() {
    for (int b = 0; b < columns.bandCount(); b++) {
      float each = (float) (power(ROOM_DB) / columns.bands().bins(b));
      room.learn(b, each, 9, STAY_DB, 3);
    }
    room.learnTotal(power(TOTAL_DB));
    fading = new FadingBands(columns, 100);
    column = 100;
    mostDb = ROOM_DB;
  }

  private static double power(double db) {
    return Math.pow(10, db / 10);
  }

  /** Adds a column in which the sound has these levels in its two bands. */
  private void add(double lowDb, double highDb) {
    mostDb = Math.max(mostDb, Math.max(lowDb, highDb));
    set(LOW, lowDb);
    set(HIGH, highDb);
    fading.add(column++, room, power(mostDb));
  }

  private void set(int band, double db) {
    fading.set(band, (power(ROOM_DB) + power(db)) / columns.bands().bins(band));
  }

  /** A second at -20 dB, then a fall by some dB per second for as long as is said. */
  private void fall(double dbPerS, double seconds) {
    for (int i = 0; i < second; i++) {
      add(-20, -200);
    }
    for (int i = 1; i < seconds * second; i++) {
      add(-20 - dbPerS * i / second, -200);
    }
  }

  private double since(double at) {
    return (at - 100) / second - 1;
  }

  /** It is heard down to 3 dB over the band's room, and goes on to 12 dB under the whole. */
  @Test
  void aTailIsHeardDownToTheRoomAndGoesOnBelowIt() {
    fall(40, 3);
    assertEquals((ROOM_DB - -20) / -40, since(fading.lastHeard(column)), 0.05);
    aRoom();
    room.learnTotal(power(-66));
    fall(40, 3);
    assertEquals((-66 - 12 - -20) / -40.0, since(fading.lastsUntil(column, room)), 0.05);
  }

  /** Two bands that fall alike hold twice the power of one, and are heard for 3 dB longer. */
  @Test
  void bandsThatDieAwayTogetherAreHeardTogether() {
    for (int i = 0; i < 3 * second; i++) {
      double db = -20 - 40 * Math.max(0, i / second - 1);
      add(db, db);
    }
    double until = TOTAL_DB - 12 - 10 * Math.log10(2);
    // But not above where they are heard themselves.
    assertEquals((ROOM_DB - -20) / -40, since(fading.lastHeard(column)), 0.05);
    assertEquals((until - -20) / -40, since(fading.lastsUntil(column, room)), 0.05);
  }

  /** It fell slowly while it was held, and is gone from one column to the next. */
  @Test
  void whatStopsAtOnceDoesNotGoOn() {
    double db = -20;
    for (int i = 0; i < second; i++) {
      db = -20 - 20 * i / second;
      add(db, -200);
    }
    long last = column - 1;
    for (int i = 0; i < second; i++) {
      add(-200, -200);
    }
    assertEquals(last, fading.lastHeard(column));
    assertEquals(last, fading.lastsUntil(column, room), 1);
  }

  @Test
  void whatComesUpAgainBehindItIsTheRoom() {
    fall(40, 2);
    double heard = fading.lastHeard(column);
    double until = fading.lastsUntil(column, room);
    for (int i = 0; i < second; i++) {
      add(-60, -55);
    }
    assertEquals(heard, fading.lastHeard(column));
    assertEquals(until, fading.lastsUntil(column, room));
  }

  /** A room that rises by 4 dB is taken for a tail for as long as its flutter allows: 0.5 s. */
  @Test
  void whatFallsNoFurtherNearTheRoomIsTheRoom() {
    fall(40, 1.2);
    for (int i = 0; i < 3 * second; i++) {
      add(-68, -200);
    }
    assertTrue(since(fading.lastHeard(column)) < 1.2 + 0.6);
  }

  /** Far above it nothing but the sound can be heard, however slowly it falls. */
  @Test
  void aSlowRingFarAboveTheRoomIsFollowed() {
    fall(2, 14);
    assertEquals(13, since(fading.lastHeard(column)), 1.1);
  }

  @Test
  void whatComesNearItsMostIsItsBody() {
    fall(40, 2);
    add(-30, -200);
    assertEquals(column - 1, fading.lastHeard(column));
  }

  /** What was known by a column does not change with what follows. */
  @Test
  void aNoteThatFollowsIsNoTail() {
    fall(40, 2);
    long behind = column - 1;
    double heard = fading.lastHeard(behind);
    double until = fading.lastsUntil(behind, room);
    for (int i = 0; i < 10; i++) {
      add(-20, -10);
    }
    assertEquals(column - 1, fading.lastHeard(column));
    assertEquals(heard, fading.lastHeard(behind));
    assertEquals(until, fading.lastsUntil(behind, room));
  }

  @Test
  void columnsThatItDoesNotKnowReadAsTheNearest() {
    assertEquals(100, fading.lastHeard(0));
    assertEquals(100, fading.lastsUntil(Long.MAX_VALUE / 2, room));
    add(-20, -200);
    assertEquals(100, fading.lastHeard(-5));
    assertEquals(100, fading.lastHeard(101));
    fall(0, 5);
    assertEquals(column - 1, fading.lastHeard(column + 1000));
    assertEquals(column - 1 - columns.columnsOf(2), fading.lastHeard(0));
  }

  /** A sound as loud as the body is another once nothing was heard for longer than asked for. */
  @Test
  void whatComesBehindAPauseIsAnother() {
    for (int pause = 0; pause < 8; pause++) {
      aRoom();
      fall(40, 1);
      assertFalse(fading.isOverBefore(1), "it goes on");
      for (int i = 0; i < pause; i++) {
        add(-200, -200);
        assertFalse(fading.isOverBefore(1), "nothing comes");
      }
      add(-39, -200);
      assertEquals(pause >= 5, fading.isOverBefore(5), "after " + pause);
      add(-39, -200);
      assertFalse(fading.isOverBefore(1), "it goes on");
    }
  }

  /** What comes up but not near the body, and what was heard in one column alone, is no other. */
  @Test
  void aThudBehindAPauseIsNoOther() {
    assertFalse(fading.isOverBefore(1), "nothing was heard so far");
    fall(40, 1);
    for (int i = 0; i < 20; i++) {
      add(-200, -200);
    }
    add(-41, -200);
    assertFalse(fading.isOverBefore(5));
  }
}
