package takewright.cli;

import java.util.List;
import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import picocli.CommandLine.ParentCommand;
import picocli.CommandLine.Unmatched;

/** Only listed among the commands: the launcher makes the packages, by tools beside the program. */
@Command(
    name = "dist",
    description = "Makes the program as users install it: an archive and a Debian package.")
final class DistCommand implements Callable<Integer> {
  @ParentCommand private Main main;

  @Unmatched private List<String> options;

  @Override
  public Integer call() {
    main.complain("packages are made by the launcher: ./takewright dist");
    return Main.FAILED;
  }
}
