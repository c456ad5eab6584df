package takewright.cli;

import java.util.List;
import java.util.stream.Collectors;
import picocli.CommandLine;
import picocli.CommandLine.MissingParameterException;
import picocli.CommandLine.Model.ArgSpec;
import picocli.CommandLine.Model.OptionSpec;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.UnmatchedArgumentException;
import takewright.diagnosis.Problem;

/** What is wrong with how a command was called, in one line with the way out. */
final class WrongUsage {
  private WrongUsage() {}

  static String of(ParameterException failure) {
    CommandLine command = failure.getCommandLine();
    String help = " (see " + command.getCommandSpec().qualifiedName() + " --help)";
    if (failure instanceof UnmatchedArgumentException unmatched) {
      return unmatched(unmatched, command) + help;
    }
    if (failure instanceof MissingParameterException missing) {
      return missing(missing.getMissing()) + help;
    }
    return Problem.oneLine(failure.getMessage()) + help;
  }

  private static String unmatched(UnmatchedArgumentException failure, CommandLine command) {
    String word = Problem.oneLine(failure.getUnmatched().get(0));
    String nearest =
        failure.getSuggestions().isEmpty()
            ? ""
            : "; did you mean " + failure.getSuggestions().get(0) + "?";
    if (failure.isUnknownOption()) {
      return "there is no option " + word.replaceFirst("=.*", "") + nearest;
    }
    return command.getSubcommands().isEmpty()
        ? word + " is one word too many: put words that belong together in quotes"
        : "there is no command " + word + nearest;
  }

  private static String missing(List<ArgSpec> arguments) {
    String names = arguments.stream().map(WrongUsage::name).collect(Collectors.joining(" and "));
    return names + (arguments.size() == 1 ? " is missing" : " are missing");
  }

  private static String name(ArgSpec argument) {
    return argument instanceof OptionSpec option
        ? option.longestName() + " " + option.paramLabel()
        : argument.paramLabel();
  }
}
