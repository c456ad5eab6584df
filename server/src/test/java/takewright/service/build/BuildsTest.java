package takewright.service.build;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.List;
import org.junit.jupiter.api.Test;
import takewright.v1.BuildRequest;

final class BuildsTest {
  @Test
  void onlyTheNewestBuildsAreKept() {
    Builds builds = new Builds();
    Builds.Run oldest = builds.start(BuildRequest.getDefaultInstance());
    for (int i = 0; i < Builds.KEPT + 10; i++) {
      builds
          .start(BuildRequest.getDefaultInstance())
          .done(takewright.v1.BuildResult.getDefaultInstance());
    }
    List<Builds.Run> all = builds.page("", 1000);
    assertEquals(Builds.KEPT, all.size());
    assertEquals(oldest, all.get(all.size() - 1), "one that runs stays");
  }
}
