package takewright.cli;

import java.util.List;
import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import picocli.CommandLine.ParentCommand;
import picocli.CommandLine.Unmatched;

/** Only listed among the commands: the launcher runs the tests, which the program does not hold. */
@Command(name = "test", description = "Runs all tests, or some of them (see test --help).")
final class TestCommand implements Callable<Integer> {
  @ParentCommand private Main main;

  @Unmatched private List<String> options;

  @Override
  public Integer call() {
    main.complain(
        "the tests are beside the program: start them with the launcher, ./takewright test");
    return Main.FAILED;
  }
}
