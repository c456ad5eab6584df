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

  /** Frequency of a line, by its place among {@link #harmonics}. */
  public double hz(int line) {
    return harmonics[line] * fundamentalHz;
  }
}
