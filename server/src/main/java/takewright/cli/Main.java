package takewright.cli;

import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import java.io.FileDescriptor;
import java.io.FileOutputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.InvalidPathException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.logging.Level;
import java.util.logging.Logger;
import picocli.CommandLine;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.TypeConversionException;
import takewright.cli.connect.Connection;
import takewright.cli.show.Complaint;
import takewright.service.TakewrightServer;

/** The {@code takewright} command: a thin client of the service. */
@Command(
    name = "takewright",
    description = "Turns a recording session into a playable sample library.",
    version = "takewright " + TakewrightServer.VERSION,
    mixinStandardHelpOptions = true,
    synopsisSubcommandLabel = "COMMAND")
public final class Main implements Runnable {
  /** The commands, as the help lists them. */
  static final List<Class<?>> COMMANDS =
      List.of(
          DemoCommand.class,
          BuildCommand.class,
          CheckCommand.class,
          FollowCommand.class,
          SegmentCommand.class,
          AnalyseCommand.class,
          DenoiseCommand.class,
          RetuneCommand.class,
          LayerCommand.class,
          NameCommand.class,
          AuditCommand.class,
          RenderCommand.class,
          ServeCommand.class,
          TestCommand.class,
          DistCommand.class,
          BenchCommand.class,
          CompletionCommand.class,
          WarmUpCommand.class);

  /** Exit status: done. */
  static final int DONE = 0;

  /** Exit status with {@code --strict}: done, but something needs a person's eye. */
  static final int NEEDS_A_LOOK = 1;

  /** Exit status: bad usage or bad input. */
  static final int FAILED = 2;

  /** The network library's logger, held so that its level stays. */
  private static final Logger NETWORK = Logger.getLogger("io.grpc");

  final PrintStream out;
  final PrintStream err;

  Main(PrintStream out, PrintStream err) {
    this.out = out;
    this.err = err;
  }

  public static void main(String[] args) {
    if (args.length == 0 || !args[0].equals("serve")) {
      // A command sends and receives little: setting a pool of buffers up would take longer.
      System.setProperty("io.grpc.netty.shaded.io.netty.allocator.type", "unpooled");
    }
    // UTF-8 whatever the locale: what is written is read by programs.
    PrintStream out = stream(FileDescriptor.out);
    PrintStream err = stream(FileDescriptor.err);
    int status = run(out, err, args);
    out.flush();
    System.exit(status);
  }

  private static PrintStream stream(FileDescriptor target) {
    return new PrintStream(new FileOutputStream(target), true, StandardCharsets.UTF_8);
  }

  /** Runs one command; the exit status. */
  static int run(PrintStream out, PrintStream err, String... args) {
    NETWORK.setLevel(Level.SEVERE);
    String[] words = withHelpAsOption(args);
    return commands(out, err, named(words)).execute(words);
  }

  /** {@code help COMMAND} as {@code COMMAND --help}. */
  private static String[] withHelpAsOption(String[] args) {
    if (args.length == 0 || !args[0].equals("help")) {
      return args;
    }
    return args.length == 1 ? new String[] {"--help"} : new String[] {args[1], "--help"};
  }

  /**
   * The one command that is called, since reading the options of all takes as long as a small job;
   * all where the first word is none of them.
   */
  private static List<Class<?>> named(String[] args) {
    for (Class<?> command : COMMANDS) {
      if (args.length > 0 && args[0].equals(command.getAnnotation(Command.class).name())) {
        return List.of(command);
      }
    }
    return COMMANDS;
  }

  /** All commands with their options. */
  static CommandLine commands(PrintStream out, PrintStream err) {
    return commands(out, err, COMMANDS);
  }

  private static CommandLine commands(PrintStream out, PrintStream err, List<Class<?>> commands) {
    Main main = new Main(out, err);
    CommandLine line = new CommandLine(main);
    commands.forEach(line::addSubcommand);
    return line.setOut(new java.io.PrintWriter(out, true, StandardCharsets.UTF_8))
        .setErr(new java.io.PrintWriter(err, true, StandardCharsets.UTF_8))
        .setCaseInsensitiveEnumValuesAllowed(true)
        .registerConverter(Path.class, Main::path)
        .setParameterExceptionHandler(main::badUsage)
        .setExecutionExceptionHandler(
            (failure, command, parsed) ->
                isOutOfReach(failure, command.getCommandSpec())
                    ? main.runAlone(parsed.originalArgs())
                    : main.failed(failure, command.getCommandSpec()));
  }

  @Override
  public void run() {
    throw new ParameterException(new CommandLine(this), "no command given");
  }

  private int badUsage(ParameterException failure, String[] args) {
    complain(WrongUsage.of(failure));
    return FAILED;
  }

  /** Whether the running service that was found may not reach a file that a sheet names. */
  private static boolean isOutOfReach(Exception failure, CommandSpec command) {
    return failure instanceof StatusRuntimeException answer
        && answer.getStatus().getCode() == Status.Code.PERMISSION_DENIED
        && command.mixins().values().stream()
            .anyMatch(mixin -> mixin.userObject() instanceof Connection used && used.usesFound());
  }

  private int runAlone(List<String> args) {
    complain("the service may not reach a file of the sheet; going on without it");
    List<String> words = new ArrayList<>(args);
    words.add("--local");
    return run(out, err, words.toArray(String[]::new));
  }

  private int failed(Exception failure, CommandSpec command) {
    if (failure instanceof ParameterException usage) {
      return badUsage(usage, new String[0]);
    }
    complain(failure, command);
    return FAILED;
  }

  /**
   * An empty path means the current folder to Java; to a shell it is a variable without a value.
   */
  static Path path(String text) {
    if (text.isEmpty()) {
      throw new TypeConversionException("must not be empty: give a path");
    }
    try {
      return Path.of(text);
    } catch (InvalidPathException e) {
      throw new TypeConversionException(
          "\""
              + text
              + "\" is not a valid path; if it holds letters beyond ASCII, set LC_ALL=C.UTF-8");
    }
  }

  /** One clear line on standard error. */
  void complain(String line) {
    err.println("takewright: " + line);
  }

  /** What went wrong, in one line. */
  void complain(Throwable failure, CommandSpec command) {
    complain(Complaint.of(failure, command));
  }
}
