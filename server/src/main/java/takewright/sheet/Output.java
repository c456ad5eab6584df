package takewright.sheet;

/**
 * What the sample files are to be.
 *
 * @param sampleRate frames per second, 8000 to 192000
 * @param bitDepth bits per sample: 16, 24 or 32
 */
public record Output(int sampleRate, int bitDepth) {
  /** 48 kHz, 24 bits. */
  public static final Output DEFAULTS = new Output(48_000, 24);
}
