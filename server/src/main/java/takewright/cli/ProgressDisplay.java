package takewright.cli;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.file.Files;
import java.nio.file.Path;
import me.tongfei.progressbar.ConsoleProgressBarConsumer;
import me.tongfei.progressbar.ProgressBar;
import me.tongfei.progressbar.ProgressBarBuilder;
import me.tongfei.progressbar.ProgressBarStyle;
import takewright.v1.BuildProgress;
import takewright.v1.BuildStep;

/** How far a build is: a bar where a person watches, else now and then a line. */
interface ProgressDisplay extends AutoCloseable {
  void show(BuildProgress progress);

  @Override
  void close();

  /** The display that suits standard error. */
  static ProgressDisplay on(PrintStream err) {
    return isTerminal() ? new Bar(err) : new Lines(err);
  }

  /** Whether standard error is a terminal. */
  private static boolean isTerminal() {
    // Java 17 can only say it of input and output together; where the system shows what standard
    // error is, that is asked first.
    Path shown = Path.of("/proc/self/fd/2");
    if (Files.exists(shown)) {
      try {
        String device = shown.toRealPath().toString();
        return device.startsWith("/dev/pts/") || device.startsWith("/dev/tty");
      } catch (IOException e) {
        return false;
      }
    }
    return System.console() != null;
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

  /** A bar. */
  final class Bar implements ProgressDisplay {
    /** Thousandths: finer than a terminal can show. */
    private static final int WHOLE = 1000;

    private final ProgressBar bar;

    Bar(PrintStream err) {
      bar =
          new ProgressBarBuilder()
              .setInitialMax(WHOLE)
              .setStyle(ProgressBarStyle.ASCII)
              .setConsumer(new ConsoleProgressBarConsumer(err))
              .setTaskName("building")
              .setUpdateIntervalMillis(200)
              .hideEta()
              .build();
    }

    @Override
    public void show(BuildProgress progress) {
      bar.setExtraMessage(word(progress.getStep()) + " " + progress.getTake());
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
              + samples);
    }

    @Override
    public void close() {}
  }
}
