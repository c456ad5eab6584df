package takewright.cli.show;

import java.io.PrintStream;
import me.tongfei.progressbar.ConsoleProgressBarConsumer;
import me.tongfei.progressbar.ProgressBar;
import me.tongfei.progressbar.ProgressBarBuilder;
import me.tongfei.progressbar.ProgressBarStyle;
import takewright.v1.BuildProgress;
import takewright.v1.BuildStep;

/** Shows the progress of a build: a bar in a terminal, otherwise a line from time to time. */
public interface ProgressDisplay extends AutoCloseable {
  void show(BuildProgress progress);

  @Override
  void close();

  /** The display that suits standard error. */
  static ProgressDisplay on(PrintStream err) {
    return Terminal.showsErrors() ? new Bar(err) : new Lines(err);
  }

  /** The word for a step. */
  private static String word(BuildStep step) {
    return switch (step) {
      case BUILD_STEP_SEGMENT -> "cutting";
      case BUILD_STEP_MATCH -> "matching";
      case BUILD_STEP_WRITE -> "writing";
      case BUILD_STEP_REPORT -> "drawing";
      default -> "working";
    };
  }

  /** The time left, if known; otherwise empty. */
  private static String left(BuildProgress progress, long startNanos) {
    // Before 5 % are done, the time left would be a guess.
    if (progress.getDone() < 0.05 || progress.getDone() >= 1) {
      return "";
    }
    double passedS = (System.nanoTime() - startNanos) / 1e9;
    long leftS = (long) Math.ceil(passedS * (1 / progress.getDone() - 1));
    return String.format(", %d:%02d left", leftS / 60, leftS % 60);
  }

  /** A bar. */
  final class Bar implements ProgressDisplay {
    /** Thousandths: finer than a terminal can show. */
    private static final int WHOLE = 1000;

    private final long startNanos = System.nanoTime();
    private final ProgressBar bar;

    Bar(PrintStream err) {
      bar =
          new ProgressBarBuilder()
              .setInitialMax(WHOLE)
              .setStyle(ProgressBarStyle.ASCII)
              .setConsumer(new ConsoleProgressBarConsumer(err))
              .setTaskName("")
              .setUpdateIntervalMillis(200)
              .hideEta()
              .build();
    }

    @Override
    public void show(BuildProgress progress) {
      String samples =
          progress.getSamplesTotal() > 0
              ? " " + progress.getSamplesDone() + "/" + progress.getSamplesTotal()
              : "";
      // Short, since the bar takes the rest of the line.
      bar.setExtraMessage(
          word(progress.getStep())
              + " "
              + progress.getTake()
              + samples
              + left(progress, startNanos));
      bar.stepTo(Math.round(progress.getDone() * WHOLE));
    }

    @Override
    public void close() {
      bar.close();
    }
  }

  /** Lines: one for every tenth of the work. */
  final class Lines implements ProgressDisplay {
    private final PrintStream err;
    private final long startNanos = System.nanoTime();
    private int tenth = -1;

    Lines(PrintStream err) {
      this.err = err;
    }

    @Override
    public void show(BuildProgress progress) {
      int now = (int) (progress.getDone() * 10);
      if (now == tenth) {
        return;
      }
      tenth = now;
      String samples =
          progress.getSamplesTotal() > 0
              ? ", " + progress.getSamplesDone() + " of " + progress.getSamplesTotal() + " samples"
              : "";
      err.println(
          Math.round(progress.getDone() * 100)
              + " %: "
              + word(progress.getStep())
              + " "
              + progress.getTake()
              + samples
              + left(progress, startNanos));
    }

    @Override
    public void close() {}
  }
}
