package takewright.segment.onset;

import java.util.Arrays;
import takewright.dsp.Decibels;
import takewright.segment.room.Columns;
import takewright.segment.room.Room;

/**
 * How loud each band is while a sound sets in. A string or a bar that is struck once more has the
 * same bands as at its first stroke, whatever still rings; a knock, a bow or a word has others.
 */
public final class AttackBands {
  /** Columns within which each band of a stroke is at its loudest (85 ms). */
  private static final int COLUMNS = 4;

  /** What lies no further above the room than this, as a power ratio, is the room's (6 dB). */
  private static final double OVER_ROOM = 4;

  /** A band is heard in an attack where it stands out of that by this, as a power ratio (6 dB). */
  private static final double HEARD = 4;

  /** Share of the bands that must be heard to know a stroke by: knocks and words have fewer. */
  private static final double MIN_HEARD = 0.7;

  /** Power of what is silent, as a mean square: a digital room has none. */
  private static final double SILENCE = 1e-14;

  private final Columns columns;
  private final double[] power;
  private int heard;

  public AttackBands(Columns columns) {
    this.columns = columns;
    power = new double[columns.bandCount()];
  }

  /** Listens to the next column, of which the first few count. */
  public void add(long column) {
    if (heard < COLUMNS) {
      heard++;
      for (int b = 0; b < power.length; b++) {
        power[b] = Math.max(power[b], columns.band(b, column));
      }
    }
  }

  /**
   * How far the bands of what begins at a column lie apart from these, in dB on average, but for
   * how loud they are; infinite where too few are heard to know a stroke by.
   */
  public double apartDb(long column, Room room) {
    AttackBands now = new AttackBands(columns);
    for (int k = 0; k < COLUMNS; k++) {
      now.add(column + k);
    }
    double[] apart = new double[power.length];
    int count = 0;
    for (int b = 0; b < power.length; b++) {
      double floor = Math.max(OVER_ROOM * room.power(b), room.stay(b)) + SILENCE;
      if (Math.max(power[b], now.power[b]) > HEARD * floor) {
        double before = Math.max(power[b], floor);
        apart[count++] = Decibels.fromPower(Math.max(now.power[b], floor) / before);
      }
    }
    if (count < MIN_HEARD * power.length) {
      return Double.POSITIVE_INFINITY;
    }
    double[] bands = Arrays.copyOf(apart, count);
    Arrays.sort(bands);
    double louder = bands[count / 2];
    return Arrays.stream(bands).map(db -> Math.abs(db - louder)).sum() / count;
  }
}
