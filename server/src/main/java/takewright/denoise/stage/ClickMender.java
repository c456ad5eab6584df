package takewright.denoise.stage;

import java.io.IOException;
import java.util.Arrays;
import takewright.audio.AudioSource;
import takewright.dsp.ArInterpolation;
import takewright.dsp.LinearPrediction;

/**
 * Repairs single clicks while audio is read.
 *
 * <p>A click ends after a millisecond, and the sound continues as before. Each channel is laid out
 * in cells of about a millisecond. Where the third difference, which hardly hears the partials of a
 * note, is in one cell several times what it is anywhere in the 80 ms on either side, there may be
 * a click: an attack or a hit goes on after it, and the strokes of a bow come again at every
 * period. What stands as far out of the prediction error as well, forwards and backwards in time,
 * is taken out and filled in (S. Godsill and P. Rayner, Digital Audio Restoration, 1998, ch. 5:
 * detection by the prediction error; {@link ArInterpolation}).
 *
 * <p>It reads ahead by about a tenth of a second.
 */
public final class ClickMender extends CleaningStage {
  /** Cells a second. */
  private static final int CELLS_A_SECOND = 750;

  /** Cells on either side in which a click must be alone: three periods of the lowest notes. */
  private static final int ALONE = 60;

  /** Ratio of a click's third difference to that of its surroundings: 14 dB. */
  private static final float HIGHER = 5;

  /** The same for the prediction error. */
  private static final double ERROR_HIGHER = 3.5;

  /** A click begins where the prediction error first reaches this share of its maximum. */
  private static final double EDGE = 0.1;

  /** The sound after a click is at most this many times as rough as before, or the reverse. */
  private static final float ALIKE = 3;

  /** Maximum length of a click, in seconds; a longer repair would be a guess. */
  private static final double LONGEST_S = 0.0015;

  /** Sound on either side that the model is made of, in seconds, and its order. */
  private static final double AROUND_S = 0.02;

  private static final int ORDER = 32;

  /**
   * Order of the model that the gap is filled by: over a few periods of the note. With 32 the error
   * within clicks on recordings was 8 to 44 dB below the note, with 256 it is 29 to 44.
   */
  private static final int FILL_ORDER = 256;

  /** Smaller third differences are the last bits of 24, or digital silence. */
  private static final float LEAST = 2e-6f;

  private final int cell;
  private final int around;
  private final float[][] ring;
  private final int mask;

  /** The greatest third difference of the last cells, by channel. */
  private final float[][] peaks;

  private final float[] near;
  private final float[] turned;

  private long cells;
  private int clicks;

  public ClickMender(AudioSource source) {
    super(source, cell(source));
    cell = cell(source);
    around = Math.max(4 * ORDER, (int) (AROUND_S * source.sampleRate()));
    ring = new float[channels][Integer.highestOneBit(2 * (2 * ALONE + 8) * cell)];
    mask = ring[0].length - 1;
    peaks = new float[channels][2 * ALONE + 1];
    near = new float[2 * around + 3 * cell];
    turned = new float[near.length];
  }

  private static int cell(AudioSource source) {
    return Math.max(8, source.sampleRate() / CELLS_A_SECOND);
  }

  /** Clicks repaired so far; one in several channels counts once for each. */
  public int clicks() {
    return clicks;
  }

  /** Reads the next cell, repairs the one that is now known well enough, and returns one. */
  @Override
  protected void next() throws IOException {
    fillCell();
    long middle = cells - ALONE;
    if (middle >= 0) {
      for (int c = 0; c < channels; c++) {
        if (standsOut(c, middle)) {
          mend(c, middle);
        }
      }
    }
    // A click may begin in the cell before.
    long out = middle - 2;
    if (out >= 0) {
      for (int c = 0; c < channels; c++) {
        int start = (int) (out * cell) & mask;
        for (int i = 0; i < cell; i++) {
          block[c][i] = ring[c][start + i & mask];
        }
      }
      give(0);
    }
    cells++;
  }

  private void fillCell() throws IOException {
    int n = fill(block);
    long start = cells * cell;
    for (int c = 0; c < channels; c++) {
      float[] x = ring[c];
      float a = x[(int) (start - 1) & mask];
      float b = x[(int) (start - 2) & mask];
      float d = x[(int) (start - 3) & mask];
      Arrays.fill(block[c], n, cell, 0);
      int maxBits = 0;
      for (int i = 0; i < cell; i++) {
        float now = block[c][i];
        x[(int) start + i & mask] = now;
        // For floats without a sign, the order of the bits is the order of the values.
        maxBits =
            Math.max(maxBits, Float.floatToRawIntBits(now - 3 * (a - b) - d) & Integer.MAX_VALUE);
        d = b;
        b = a;
        a = now;
      }
      // Audio may begin and end with a step, which is not a click.
      peaks[c][(int) (cells % peaks[c].length)] =
          cells == 0 || n < cell ? Float.MAX_VALUE : Float.intBitsToFloat(maxBits);
    }
  }

  private float peak(int channel, long index) {
    return peaks[channel][(int) (index % peaks[channel].length)];
  }

  /** Whether a cell is much rougher than its surroundings, which are similar before and after. */
  private boolean standsOut(int c, long middle) {
    float here = peak(c, middle);
    if (!(here > LEAST && here < 1e3f && middle >= ALONE)
        || here < HIGHER * peak(c, middle + 2)
        || here < HIGHER * peak(c, middle - 2)) {
      return false;
    }
    // If a click spans two cells, the louder one counts.
    if (here < peak(c, middle - 1) || here <= peak(c, middle + 1)) {
      return false;
    }
    float before = 0;
    float after = 0;
    for (int i = 2; i <= ALONE; i++) {
      before = Math.max(before, peak(c, middle - i));
      after = Math.max(after, peak(c, middle + i));
    }
    return here > HIGHER * Math.max(before, after)
        && after < ALIKE * before + LEAST
        && before < ALIKE * after + LEAST;
  }

  private void mend(int c, long middle) {
    float[] x = ring[c];
    long first = (middle - 1) * cell - around;
    for (int i = 0; i < near.length; i++) {
      float s = x[(int) (first + i) & mask];
      near[i] = Math.abs(s) <= Float.MAX_VALUE ? s : 0;
      turned[near.length - 1 - i] = near[i];
    }
    int from = begins(near);
    int to = near.length - begins(turned);
    if (from < 0 || to > near.length || to <= from || to - from > LONGEST_S * sampleRate()) {
      return;
    }
    ArInterpolation.fill(near, from, to, Math.min(FILL_ORDER, around / 4));
    for (int i = from; i < to; i++) {
      x[(int) (first + i) & mask] = near[i];
    }
    clicks++;
  }

  /**
   * The first sample that the sound before does not lead to; one beyond the last where there is
   * none that stands out.
   */
  private int begins(float[] x) {
    double[] model = LinearPrediction.whitening(x, 0, around, ORDER);
    float[] error = LinearPrediction.filter(Arrays.copyOf(x, around + 3 * cell), model);
    double usual = 0;
    for (int i = ORDER; i < around; i++) {
      usual = Math.max(usual, Math.abs(error[i]));
    }
    double maxError = 0;
    for (int i = around; i < error.length; i++) {
      maxError = Math.max(maxError, Math.abs(error[i]));
    }
    // The sound's own surprises may lie a little above what is usual; filling those in would guess.
    double limit = Math.max(usual, EDGE * maxError);
    int first = around;
    while (first < error.length && Math.abs(error[first]) <= limit) {
      first++;
    }
    return maxError > ERROR_HIGHER * usual && first < error.length ? first : x.length + 1;
  }
}
