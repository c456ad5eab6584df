package takewright.library;

/**
 * Where a build is.
 *
 * @param step part of the work
 * @param take the take in hand, as the sheet names it
 * @param done share of the whole work that is done, 0 to 1; never goes down
 * @param samplesDone samples finished so far, those of an earlier run included
 * @param samplesTotal samples to make as far as known
 * @param folderId of a part of a build, the id of the output folder; otherwise empty
 */
public record BuildProgress(
    BuildStep step, String take, double done, int samplesDone, int samplesTotal, String folderId) {
  /** The progress of a whole build. */
  public BuildProgress(
      BuildStep step, String take, double done, int samplesDone, int samplesTotal) {
    this(step, take, done, samplesDone, samplesTotal, "");
  }

  /** The same, with another share of the work done. */
  public BuildProgress done(double share) {
    return new BuildProgress(step, take, share, samplesDone, samplesTotal, folderId);
  }
}
