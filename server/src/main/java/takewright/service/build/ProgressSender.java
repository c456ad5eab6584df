package takewright.service.build;

import java.util.function.Function;
import takewright.service.call.Answers;
import takewright.v1.BuildProgress;
import takewright.v1.BuildStep;

/**
 * Sends the progress that a client can use: a new step or take, or a further share of the work, and
 * only while the client keeps up. Later progress replaces what is omitted.
 */
final class ProgressSender<A> {
  /**
   * Progress is sent each time this share of the work is done: at most about a hundred messages per
   * build.
   */
  private static final double PROGRESS_STEP = 0.002;

  private final Builds.Run run;
  private final Answers<A> answers;
  private final Function<BuildProgress, A> answer;
  private takewright.library.BuildProgress sent;

  ProgressSender(Builds.Run run, Answers<A> answers, Function<BuildProgress, A> answer) {
    this.run = run;
    this.answers = answers;
    this.answer = answer;
  }

  /** Called from any thread of the build, one at a time. */
  synchronized void take(takewright.library.BuildProgress progress) {
    double done = run.progress(progress.done());
    boolean news =
        sent == null
            || sent.step() != progress.step()
            || !sent.take().equals(progress.take())
            || done - sent.done() >= PROGRESS_STEP;
    if (!news) {
      return;
    }
    sent = progress;
    BuildProgress wire =
        BuildProgress.newBuilder()
            .setBuildId(run.id())
            .setStep(wire(progress.step()))
            .setTake(progress.take())
            .setDone(done)
            .setSamplesDone(progress.samplesDone())
            .setSamplesTotal(progress.samplesTotal())
            .build();
    run.tell(wire);
    if (!answers.cancelled() && answers.ready()) {
      answers.send(answer.apply(wire));
    }
  }

  private static BuildStep wire(takewright.library.BuildStep step) {
    return switch (step) {
      case SEGMENT -> BuildStep.BUILD_STEP_SEGMENT;
      case MATCH -> BuildStep.BUILD_STEP_MATCH;
      case WRITE -> BuildStep.BUILD_STEP_WRITE;
      case REPORT -> BuildStep.BUILD_STEP_REPORT;
    };
  }
}
