package takewright.mutations;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;

/**
 * The list of planted faults fits the sources, so that a fault is never passed over because the
 * line that it edits was rewritten.
 */
class MutationListTest {
  @Test
  void everyFaultFitsTheSourcesOnce() throws IOException {
    List<String> stale = new ArrayList<>();
    for (Mutation mutation : MutationRun.all()) {
      try {
        MutationRun.fitted(mutation);
      } catch (Mutation.StaleException e) {
        stale.add(e.getMessage());
      }
    }
    assertEquals(List.of(), stale, "mend these entries of src/test/mutations/mutations.yaml");
  }

  @Test
  void fewFaultsMaySurviveAndEachHasAReason() throws IOException {
    List<Mutation> accepted =
        MutationRun.all().stream().filter(mutation -> mutation.survives() != null).toList();
    assertTrue(accepted.size() <= MutationRun.MAX_ACCEPTED, accepted.toString());
    for (Mutation mutation : accepted) {
      assertTrue(mutation.survives().length() > 20, mutation.id() + " has no reason");
    }
  }
}
