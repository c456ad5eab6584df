package takewright.cli;

import java.util.concurrent.Callable;
import picocli.AutoComplete;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.ParentCommand;
import picocli.CommandLine.Spec;

@Command(
    name = "completion",
    mixinStandardHelpOptions = true,
    description = {
      "Prints a script by which bash and zsh complete commands, options and file names.",
      "bash: source <(takewright completion)",
      "zsh: the same, after autoload -U +X compinit && compinit"
    })
final class CompletionCommand implements Callable<Integer> {
  @ParentCommand private Main main;
  @Spec private CommandSpec spec;

  @Override
  public Integer call() {
    main.out.print(AutoComplete.bash(spec.root().name(), spec.root().commandLine()));
    return Main.DONE;
  }
}
