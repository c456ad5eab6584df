package takewright.mutations;

import java.util.List;
import org.junit.platform.engine.TestExecutionResult;
import org.junit.platform.engine.discovery.DiscoverySelectors;
import org.junit.platform.engine.support.descriptor.ClassSource;
import org.junit.platform.launcher.TestExecutionListener;
import org.junit.platform.launcher.TestIdentifier;
import org.junit.platform.launcher.core.LauncherDiscoveryRequestBuilder;
import org.junit.platform.launcher.core.LauncherFactory;

/**
 * Runs test classes, one after another, and ends at the first failure. Standard output says, in
 * lines that begin with {@code @}, which class took how many milliseconds, and what failed.
 */
final class TestsUntilFailure {
  static final String TOOK = "@took ";
  static final String FAILED = "@failed ";

  /** Exit status where a test failed, and where all passed. */
  static final int FAILURE = 10;

  static final int SUCCESS = 0;

  private TestsUntilFailure() {}

  public static void main(String[] classes) {
    boolean goesOn = Boolean.getBoolean("takewright.goesOn");
    for (String name : classes) {
      long start = System.nanoTime();
      boolean passed = run(name, goesOn);
      long ms = (System.nanoTime() - start) / 1_000_000;
      System.out.println(TOOK + name + " " + ms + " " + passed);
    }
    end(SUCCESS);
  }

  private static boolean run(String name, boolean goesOn) {
    boolean[] passed = {true};
    LauncherFactory.create()
        .execute(
            LauncherDiscoveryRequestBuilder.request()
                .selectors(List.of(DiscoverySelectors.selectClass(name)))
                .build(),
            new TestExecutionListener() {
              @Override
              public void executionFinished(TestIdentifier test, TestExecutionResult result) {
                if (result.getStatus() == TestExecutionResult.Status.FAILED) {
                  passed[0] = false;
                  System.out.println(FAILED + described(test, result));
                  if (!goesOn) {
                    end(FAILURE);
                  }
                }
              }
            });
    return passed[0];
  }

  private static String described(TestIdentifier test, TestExecutionResult result) {
    String where =
        test.getLegacyReportingName()
            + test.getSource()
                .filter(source -> !(source instanceof ClassSource))
                .map(
                    source -> " " + source.toString().replaceAll(".*className = '([^']*)'.*", "$1"))
                .orElse("");
    String why =
        result
            .getThrowable()
            .map(String::valueOf)
            .map(text -> text.lines().findFirst().orElse(""))
            .orElse("");
    return where + ": " + why;
  }

  /** Ends this process with those that it started, without waiting for what the tests left. */
  private static void end(int status) {
    System.out.flush();
    ProcessHandle.current().descendants().forEach(ProcessHandle::destroyForcibly);
    Runtime.getRuntime().halt(status);
  }
}
