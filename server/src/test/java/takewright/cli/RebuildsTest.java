package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.Test;
import takewright.v1.BuildChanges;
import takewright.v1.BuildResult;
import takewright.v1.Rebuilt;

/** The line of the terminal on a library that was built again. */
class RebuildsTest {
  private static final BuildResult.Builder RESULT =
      BuildResult.newBuilder().setSamples(40).setMissing(1).setFlagged(3);

  @Test
  void anEditIsSaidWithWhatItChanged() {
    Rebuilt.Builder rebuilt = Rebuilt.newBuilder().setEditedSheet("/a/plan.yaml").setSeconds(1.26);
    assertEquals(
        "plan.yaml saved: nothing changed of 40 samples, 1 cell missing, 3 flagged (1.3 s)",
        Rebuilds.line(rebuilt.setResult(RESULT).build()));
    RESULT.setChanges(
        BuildChanges.newBuilder()
            .setSamplesAdded(4)
            .setSamplesChanged(2)
            .setSamplesVanished(1)
            .build());
    assertEquals(
        "decided: 4 new, 2 changed, 1 gone of 40 samples, 1 cell missing, 3 flagged (1.3 s)",
        Rebuilds.line(rebuilt.setResult(RESULT).clearEditedSheet().build()));
  }

  @Test
  void anErrorIsSaidInTheCommandsWords() {
    assertEquals(
        "plan.yaml saved, but library and page stay as they were: plan.yaml:3: `notes` may not be"
            + " right; correct them, or build it as it is with --as-written",
        Rebuilds.line(
            Rebuilt.newBuilder()
                .setEditedSheet("/a/plan.yaml")
                .setError(
                    "plan.yaml:3: `notes` may not be right; correct them, or build it as it is"
                        + " with `as_written`")
                .build()));
  }
}
