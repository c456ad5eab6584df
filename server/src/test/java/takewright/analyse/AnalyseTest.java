package takewright.analyse;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayDeque;
import java.util.Queue;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.RejectedExecutionException;
import java.util.concurrent.TimeUnit;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.DoubleRange;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;

class AnalyseTest {
  private static final int RATE = 48_000;

  private static Clip note(int frames, double hz, int channels) {
    float[][] x = new float[channels][frames];
    for (int c = 0; c < channels; c++) {
      for (int i = 0; i < frames; i++) {
        x[c][i] = (float) (0.2 / (c + 1) * Math.sin(2 * Math.PI * hz * i / RATE));
      }
    }
    return Clip.of(RATE, x);
  }

  @Property(tries = 20)
  void theFactsDoNotDependOnWhoMeasuresTheLevels(
      @ForAll @IntRange(min = 0, max = 60_000) int frames,
      @ForAll @DoubleRange(min = 60, max = 4000) double hz,
      @ForAll @IntRange(min = 1, max = 2) int channels)
      throws InterruptedException {
    Clip sample = note(frames, hz, channels);
    SampleFacts alone = Analyse.apply(sample, AnalyseSettings.DEFAULTS);
    assertEquals(alone, Analyse.apply(sample, AnalyseSettings.DEFAULTS, Runnable::run));
    ExecutorService other = Executors.newSingleThreadExecutor();
    try {
      assertEquals(alone, Analyse.apply(sample, AnalyseSettings.DEFAULTS, other));
    } finally {
      other.shutdown();
      assertTrue(other.awaitTermination(30, TimeUnit.SECONDS));
    }
  }

  @Test
  void whoComesLateOrNeverLeavesNothingUndone() {
    Clip sample = note(RATE, 440, 1);
    SampleFacts alone = Analyse.apply(sample, AnalyseSettings.DEFAULTS);
    Queue<Runnable> late = new ArrayDeque<>();
    assertEquals(alone, Analyse.apply(sample, AnalyseSettings.DEFAULTS, late::add));
    late.remove().run();
    assertTrue(late.isEmpty());
    assertThrows(
        RejectedExecutionException.class,
        () ->
            Analyse.apply(
                sample,
                AnalyseSettings.DEFAULTS,
                task -> {
                  throw new RejectedExecutionException();
                }));
  }
}
