package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.stream.Collectors;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.Test;

/**
 * Clients that read nothing, open connections without calls, drop sessions or cancel take nothing
 * from the others: all of those are served, rightly, or refused with when to try again; and nothing
 * of it stays. For longer, and with the times of all: {@link LoadRun}.
 */
class MixedLoadTest {
  private static final int SECONDS = Integer.getInteger("takewright.load", 6);

  @Test
  void theOthersAreServedAndNothingStays() throws Exception {
    Assumptions.assumeTrue(Files.isDirectory(Path.of("/proc/self/fd")), "tells of Linux alone");
    LoadRun.Shown shown = new LoadRun().run(SECONDS, 12, 8, 3, 20, List.of());
    Map<String, List<Double>> outcomes = shown.outcomes();
    Set<String> served =
        Set.of(
            "list ok",
            "list RESOURCE_EXHAUSTED",
            "analyse ok",
            "analyse RESOURCE_EXHAUSTED",
            "segment ok",
            "segment RESOURCE_EXHAUSTED",
            "cancelled ok",
            "left to its deadline ok",
            "garbage ok");
    Set<String> others =
        outcomes.keySet().stream()
            .filter(outcome -> !served.contains(outcome) && !outcome.startsWith("misbehaved: "))
            .collect(Collectors.toSet());
    assertEquals(Set.of(), others, "how calls may not end");
    assertTrue(outcomes.keySet().containsAll(Set.of("list ok", "analyse ok", "segment ok")));
    assertTrue(outcomes.keySet().contains("misbehaved: a dropped session"));
    assertTrue(outcomes.keySet().contains("misbehaved: a connection without calls"));
    assertTrue(shown.state().contains("takewright_calls_running 0"), shown.state());
    // Sixteen sessions wait for their connection, each with a file; and the JVM's own.
    int left = shown.after().descriptors() - shown.before().descriptors();
    assertTrue(left <= 16 + 10, shown.toString());
  }
}
