package takewright.library.sample;

import takewright.library.folder.LoopAndRelease;
import takewright.loop.Loop;
import takewright.loop.LoopResult;

/**
 * What is done to all microphones of a region alike. It is decided once, by the main microphone, so
 * that the microphones stay in phase.
 *
 * @param order what is to be made
 * @param tuning how the region is brought in tune
 * @param looped its loop, or why it has none
 */
record SamplePlan(SampleOrder order, Tuning tuning, LoopResult looped) {
  /** The plan by which an earlier build made the sample of the main microphone. */
  static SamplePlan of(SampleOrder order, Tuning tuning, LoopAndRelease made) {
    Loop loop =
        made.hasLoop()
            ? new Loop((int) (long) made.start(), (int) (long) made.end(), made.fade())
            : null;
    return new SamplePlan(order, tuning, new LoopResult(loop, null, Double.NaN));
  }
}
