package takewright.denoise.hum;

/**
 * Mains hum in a room: lines at whole multiples of one fundamental.
 *
 * @param fundamentalHz near 50 or 60 Hz
 * @param levelDbfs of all lines together, RMS in dBFS, averaged over the channels
 * @param harmonics which multiples were found, ascending from 1
 * @param amplitude of each line by channel, full scale 1
 * @param noise power of the noise that the amplitude of a line in one frame is heard through, by
 *     channel and line: mean square, full scale 1
 * @param steadiness of each line: the share of its power that keeps its phase for a second, which
 *     is what can be subtracted; 0 to 1
 */
public record Hum(
    double fundamentalHz,
    double levelDbfs,
    int[] harmonics,
    double[][] amplitude,
    double[][] noise,
    double[] steadiness) {

  /** Half the width of a line in a frame, in hertz: what lies nearer is the line itself. */
  private static final double WIDTH_HZ = 10;

  /** Whether a tone of this frequency is one of the lines. */
  public boolean holds(double hz) {
    for (int i = 0; i < harmonics.length; i++) {
      if (Math.abs(hz - hz(i)) < WIDTH_HZ) {
        return true;
      }
    }
    return false;
  }

  /** Frequency of a line, by its place among {@link #harmonics}. */
  public double hz(int line) {
    return harmonics[line] * fundamentalHz;
  }
}
