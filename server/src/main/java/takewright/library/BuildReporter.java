package takewright.library;

import java.util.function.Consumer;
import takewright.sheet.Take;

/** Reports the progress of a build, which never decreases. */
final class BuildReporter {
  /** Measured share of the work that is cutting. */
  private static final double CUTTING_SHARE = 0.4;

  private final int takes;
  private final String folderId;
  private final Consumer<BuildProgress> progress;
  private int cut;
  private int total;
  private int done;
  private int reused;
  private double reported;

  /**
   * @param takes how many will be cut
   * @param folderId as in {@link BuildProgress}
   */
  BuildReporter(int takes, String folderId, Consumer<BuildProgress> progress) {
    this.takes = takes;
    this.folderId = folderId;
    this.progress = progress;
  }

  /** A step of a take has begun. */
  synchronized void at(BuildStep step, Take take) {
    double cutShare = (double) cut / Math.max(1, takes);
    double made = total == 0 ? 0 : (double) done / total;
    // Takes still to be cut will add samples.
    reported = Math.max(reported, CUTTING_SHARE * cutShare + (1 - CUTTING_SHARE) * made * cutShare);
    progress.accept(
        new BuildProgress(step, take.name(), Math.min(1, reported), done, total, folderId));
  }

  synchronized void cut(Take take) {
    cut++;
    at(BuildStep.SEGMENT, take);
  }

  /** Adds samples to make. */
  synchronized void toMake(int samples) {
    total += samples;
  }

  synchronized void made(Take take, boolean byAnEarlierBuild) {
    done++;
    reused += byAnEarlierBuild ? 1 : 0;
    at(BuildStep.WRITE, take);
  }

  synchronized int reused() {
    return reused;
  }
}
