package takewright.cli.show;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.util.List;
import org.junit.jupiter.api.Test;
import takewright.v1.BuildProgress;
import takewright.v1.BuildStep;

class ProgressDisplayTest {
  private final ByteArrayOutputStream bytes = new ByteArrayOutputStream();
  private final PrintStream err = new PrintStream(bytes, true, StandardCharsets.UTF_8);

  private String shown() {
    return bytes.toString(StandardCharsets.UTF_8);
  }

  private static BuildProgress at(double done, BuildStep step, int samples) {
    return BuildProgress.newBuilder()
        .setDone(done)
        .setStep(step)
        .setTake("sustain.wav")
        .setSamplesDone(samples)
        .setSamplesTotal(samples > 0 ? 30 : 0)
        .build();
  }

  @Test
  void linesComeOncePerTenthOfTheWork() {
    try (ProgressDisplay lines = new ProgressDisplay.Lines(err)) {
      for (int i = 0; i <= 100; i++) {
        lines.show(at(i / 100.0, BuildStep.BUILD_STEP_SEGMENT, 0));
      }
    }
    List<String> all = shown().lines().toList();
    assertEquals(11, all.size(), shown());
    assertEquals("0 %: cutting sustain.wav", all.get(0));
    assertEquals("100 %: cutting sustain.wav", all.get(10));
    assertTrue(all.get(5).matches("50 %: cutting sustain\\.wav, \\d+:\\d\\d left"), all.get(5));
  }

  @Test
  void aLineNamesTheStepAndTheSamples() {
    try (ProgressDisplay lines = new ProgressDisplay.Lines(err)) {
      lines.show(at(0, BuildStep.BUILD_STEP_MATCH, 0));
      lines.show(at(0.3, BuildStep.BUILD_STEP_WRITE, 12));
      lines.show(at(1, BuildStep.BUILD_STEP_REPORT, 30));
    }
    List<String> all = shown().lines().toList();
    assertEquals("0 %: matching sustain.wav", all.get(0));
    assertTrue(all.get(1).startsWith("30 %: writing sustain.wav, 12 of 30 samples"), all.get(1));
    assertEquals("100 %: drawing sustain.wav, 30 of 30 samples", all.get(2));
  }

  @Test
  void theBarFillsAndNamesTheStep() {
    try (ProgressDisplay bar = new ProgressDisplay.Bar(err)) {
      bar.show(at(0.5, BuildStep.BUILD_STEP_WRITE, 12));
      bar.show(at(1, BuildStep.BUILD_STEP_REPORT, 30));
    }
    String last = shown().strip();
    last = last.substring(Math.max(0, last.lastIndexOf('\r')));
    assertTrue(last.contains("100%"), shown());
    assertTrue(last.contains("drawing"), shown());
  }

  /** Standard error of tests is no terminal: it is a pipe or a file. */
  @Test
  void withoutATerminalThereAreLines() {
    try (ProgressDisplay display = ProgressDisplay.on(err)) {
      display.show(at(0.2, BuildStep.BUILD_STEP_UNSPECIFIED, 0));
      assertTrue(shown().startsWith("20 %: working sustain.wav"), shown());
    }
  }
}
