package takewright.cli;

import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import picocli.CommandLine;
import picocli.CommandLine.MissingParameterException;
import picocli.CommandLine.Model.ArgSpec;
import picocli.CommandLine.Model.OptionSpec;
import picocli.CommandLine.MutuallyExclusiveArgsException;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.UnmatchedArgumentException;
import takewright.diagnosis.Nearest;
import takewright.diagnosis.Problem;

/** What is wrong with how a command was called, in one line with the way out. */
final class WrongUsage {
  private static final Pattern OWN = Pattern.compile("Invalid value for [^:]*: (must .*)");

  /** Picocli's words for options of which one can be given. */
  private static final Pattern EXCLUSIVE =
      Pattern.compile("Error: (.*) are mutually exclusive \\(specify only one\\)");

  private WrongUsage() {}

  static String of(ParameterException failure) {
    CommandLine command = failure.getCommandLine();
    String help = " (see " + command.getCommandSpec().qualifiedName() + " --help)";
    if (failure instanceof UnmatchedArgumentException unmatched) {
      return unmatched(unmatched, command) + help;
    }
    if (failure instanceof MissingParameterException missing) {
      List<String> unknown =
          command.getUnmatchedArguments().stream().filter(word -> word.startsWith("-")).toList();
      if (!unknown.isEmpty()) {
        // What is missing may be what the misspelt option was meant to give.
        return unmatched(new UnmatchedArgumentException(command, unknown), command) + help;
      }
      boolean isOneEnough = failure.getMessage().contains("specify one of these");
      return missing(missing.getMissing(), isOneEnough) + help;
    }
    if (failure instanceof MutuallyExclusiveArgsException) {
      Matcher several = EXCLUSIVE.matcher(Problem.oneLine(failure.getMessage()));
      if (several.matches()) {
        return "only one of " + several.group(1) + " can be given; leave the other out" + help;
      }
    }
    if (failure.getArgSpec() != null && failure.getValue() != null) {
      return wrong(failure.getArgSpec(), failure) + help;
    }
    return Problem.oneLine(failure.getMessage()) + help;
  }

  /** A value that is none of the argument's. */
  private static String wrong(ArgSpec argument, ParameterException failure) {
    String name = argument instanceof OptionSpec option ? option.longestName() : name(argument);
    String wanted = wanted(argument.type());
    if (wanted != null) {
      return name + " is " + Problem.oneLine(failure.getValue()) + ", which is not " + wanted;
    }
    // What the argument's own converter says follows picocli's words.
    String said = Problem.oneLine(failure.getMessage());
    Matcher own = OWN.matcher(said);
    return own.matches() ? name + " " + own.group(1) : said;
  }

  /** What values of a type are called; null for types with a converter of their own. */
  private static String wanted(Class<?> type) {
    if (type == double.class || type == Double.class) {
      return "a number";
    }
    if (List.of(int.class, Integer.class, long.class, Long.class).contains(type)) {
      return "a whole number";
    }
    if (type.isEnum()) {
      return Arrays.stream(type.getEnumConstants())
          .map(value -> value.toString().toLowerCase(Locale.ROOT))
          .collect(Collectors.joining(" or "));
    }
    return null;
  }

  private static String unmatched(UnmatchedArgumentException failure, CommandLine command) {
    String word = Problem.oneLine(failure.getUnmatched().get(0));
    if (failure.isUnknownOption()) {
      String option = word.replaceFirst("=.*", "");
      return "there is no option " + option + meant(option, options(command));
    }
    return command.getSubcommands().isEmpty()
        ? word + " is one word too many: put words that belong together in quotes"
        : "there is no command " + word + meant(word, commands(command));
  }

  private static List<String> options(CommandLine command) {
    return command.getCommandSpec().options().stream()
        .filter(option -> !option.hidden())
        .flatMap(option -> Arrays.stream(option.names()))
        .filter(name -> name.startsWith("--"))
        .toList();
  }

  private static List<String> commands(CommandLine command) {
    return command.getSubcommands().entrySet().stream()
        .filter(sub -> !sub.getValue().getCommandSpec().usageMessage().hidden())
        .map(Map.Entry::getKey)
        .toList();
  }

  private static String meant(String word, List<String> known) {
    String nearest = Nearest.ifNear(word, known);
    return nearest == null ? "" : "; did you mean " + nearest + "?";
  }

  /**
   * @param isOneEnough whether any of the arguments would do
   */
  private static String missing(List<ArgSpec> arguments, boolean isOneEnough) {
    String names =
        arguments.stream()
            .map(WrongUsage::name)
            .collect(Collectors.joining(isOneEnough ? " or " : " and "));
    return names + (arguments.size() == 1 || isOneEnough ? " is missing" : " are missing");
  }

  private static String name(ArgSpec argument) {
    if (!(argument instanceof OptionSpec option)) {
      return argument.paramLabel();
    }
    boolean isSwitch = option.arity().max() == 0;
    return option.longestName() + (isSwitch ? "" : " " + option.paramLabel());
  }
}
