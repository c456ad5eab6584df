package takewright.library;

/**
 * Where a build is.
 *
 * @param step part of the work
 * @param take the take in hand, as the sheet names it
 * @param done share of the whole work that is done, 0 to 1
 * @param samplesDone samples written so far, those of an earlier run included
 * @param samplesTotal samples to write as far as known
 */
public record BuildProgress(
    BuildStep step, String take, double done, int samplesDone, int samplesTotal) {}
