package takewright.cli;

import java.util.List;
import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import picocli.CommandLine.ParentCommand;
import picocli.CommandLine.Unmatched;

/** Only listed among the commands: the launcher runs the benchmark, which is a separate program. */
@Command(
    name = "bench",
    description = "Measures speed beside general-purpose tools (see bench --help).")
final class BenchCommand implements Callable<Integer> {
  @ParentCommand private Main main;

  @Unmatched private List<String> options;

  @Override
  public Integer call() {
    main.complain("bench is a separate program: start it with the launcher, ./takewright bench");
    return Main.FAILED;
  }
}
