package takewright.cli;

import java.util.concurrent.Callable;
import picocli.AutoComplete;
import picocli.CommandLine;
import picocli.CommandLine.Command;
import picocli.CommandLine.ParentCommand;

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

  @Override
  public Integer call() {
    CommandLine all = Main.commands(main.out, main.err);
    main.out.print(AutoComplete.bash(all.getCommandName(), all));
    return Main.DONE;
  }
}
