package takewright.bench;

import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import picocli.CommandLine.Parameters;
import takewright.library.Build;

/** The part that runs in a process of its own. */
@Command(name = "work", hidden = true, description = "Measures in a process of its own.")
final class Work implements Callable<Integer> {
  @Parameters(index = "0")
  private String what;

  @Parameters(index = "1..*")
  private List<Path> files;

  @Override
  public Integer call() throws Exception {
    switch (what) {
      case "operation", "operation-warm" ->
          Operations.measure(
              files.get(0).toString(),
              what.endsWith("-warm"),
              files.get(1),
              files.subList(2, files.size()),
              System.out);
      case "once" ->
          System.out.println(
              Build.run(files.get(0), files.get(1), progress -> {}, () -> false).samples());
      default -> throw new IllegalArgumentException("no such work: " + what);
    }
    return 0;
  }
}
