package takewright.cli;

import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import picocli.CommandLine.ParentCommand;

@Command(
    name = "bench",
    mixinStandardHelpOptions = true,
    description = "Measures speed: not in this version.")
final class BenchCommand implements Callable<Integer> {
  @ParentCommand private Main main;

  @Override
  public Integer call() {
    main.complain("bench is not in this version");
    return Main.FAILED;
  }
}
