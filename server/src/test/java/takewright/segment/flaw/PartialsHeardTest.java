package takewright.segment.flaw;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** For how long partials are heard, in spectra that are written down. */
class PartialsHeardTest {
  private static final int BINS = 200;
  private static final int COLUMNS = 40;
  private static final double PARTIAL = 20;

  /** A note of 12 columns in an even room, behind which a blow lifts all bins alike. */
  private static float[] note() {
    float[] spectra = new float[COLUMNS * BINS];
    Arrays.fill(spectra, 1);
    for (int column = 0; column < 12; column++) {
      for (int h = 1; h <= 4; h++) {
        for (int k = -1; k <= 1; k++) {
          spectra[column * BINS + (int) (h * PARTIAL) + k] = 100;
        }
      }
    }
    Arrays.fill(spectra, 25 * BINS, 28 * BINS, 1000);
    return spectra;
  }

  private static int end(float[] spectra, double partial, double room) {
    return PartialsHeard.end(spectra, BINS, partial, 0, COLUMNS, k -> room);
  }

  @Test
  void aBlowBehindANoteIsNoPartOfIt() {
    int end = end(note(), PARTIAL, 1);
    assertTrue(end >= 12 && end <= 14, () -> "heard up to column " + end);
  }

  /** A hum that is always there at a partial is the room's. */
  @Test
  void aHumOfTheRoomIsNoPartial() {
    float[] spectra = note();
    for (int column = 0; column < COLUMNS; column++) {
      for (int k = -1; k <= 1; k++) {
        spectra[column * BINS + (int) PARTIAL + k] = Math.max(20, spectra[column * BINS + 20 + k]);
      }
    }
    int end = end(spectra, PARTIAL, 10);
    assertTrue(end >= 12 && end <= 14, () -> "heard up to column " + end);
  }

  @Test
  void partialsTooCloseTellNothing() {
    assertEquals(COLUMNS, end(note(), 6, 1));
  }
}
