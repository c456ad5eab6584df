package takewright.service.build;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.v1.BuildResult;
import takewright.v1.StartBuildRequest;

final class BuildsTest {
  @TempDir Path folder;

  @Test
  void onlyTheNewestBuildsAreKept() throws IOException {
    Builds builds = new Builds(folder);
    BuildRun oldest = builds.start(StartBuildRequest.getDefaultInstance());
    for (int i = 0; i < Builds.KEPT + 10; i++) {
      builds.start(StartBuildRequest.getDefaultInstance()).done(BuildResult.getDefaultInstance());
    }
    List<BuildRun> all = builds.page("", 1000);
    assertEquals(Builds.KEPT, all.size());
    assertEquals(oldest, all.get(all.size() - 1), "one that runs stays");
    try (Stream<Path> kept = Files.list(folder)) {
      assertEquals(Builds.KEPT, kept.count(), "the records too");
    }
  }
}
