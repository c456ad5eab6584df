package takewright.library.folder;

/**
 * What was measured while a sample was made. Missing numbers are null.
 *
 * @param cents how far it sounds above the cell's note, in cents
 * @param centsUncertainty one standard deviation of how far the region in the take is off, in cents
 * @param floorDbfs noise floor, in dBFS: before and after the noise reduction
 * @param levelLufs loudness of the sample, in LUFS
 * @param peakDbtp true peak of the sample, in dBTP
 * @param gainDb gain in dB: applied, or to be applied where the sheet keeps it beside the file
 * @param levelCurveLufs what the sample's level was drawn to: the curve fitted to its dynamic over
 *     the keys, in LUFS
 */
public record Measures(
    BeforeAfter cents,
    Double centsUncertainty,
    BeforeAfter floorDbfs,
    Double levelLufs,
    Double peakDbtp,
    Double gainDb,
    Double levelCurveLufs) {
  /** For rows without a sample. */
  public static final Measures NONE =
      new Measures(BeforeAfter.UNKNOWN, null, BeforeAfter.UNKNOWN, null, null, null, null);

  public Measures withCents(BeforeAfter other) {
    return new Measures(
        other, centsUncertainty, floorDbfs, levelLufs, peakDbtp, gainDb, levelCurveLufs);
  }

  public Measures withLevelCurveLufs(Double other) {
    return new Measures(cents, centsUncertainty, floorDbfs, levelLufs, peakDbtp, gainDb, other);
  }
}
