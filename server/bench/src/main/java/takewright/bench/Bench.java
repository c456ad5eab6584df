package takewright.bench;

import java.io.IOException;
import java.io.PrintStream;
import java.lang.management.ManagementFactory;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.LocalDate;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.Callable;
import picocli.CommandLine;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;

/** The {@code bench} command: figures of speed, as tables. */
@Command(
    name = "takewright bench",
    mixinStandardHelpOptions = true,
    description =
        "Measures speed: the inner loops, the operations beside general-purpose tools of the same"
            + " task, the whole build, the service and an editor's hook. Tools that are not installed"
            + " are left out.",
    subcommands = {LongTake.class, Fuzz.class, Work.class})
public final class Bench implements Callable<Integer> {
  /** What can be measured. */
  enum Part {
    KERNELS,
    OPERATIONS,
    BUILD,
    SERVICE,
    HOOK
  }

  @Option(names = "--markdown", description = "Tables as Markdown.")
  private boolean markdown;

  @Option(
      names = "--into",
      paramLabel = "FILE",
      description =
          "A Markdown file, such as RESULTS.md, whose sections of these tables it replaces.")
  private Path into;

  @Option(
      names = "--runs",
      paramLabel = "N",
      defaultValue = "5",
      description =
          "How often the whole build and the chain of tools are measured in turn."
              + " Default: ${DEFAULT-VALUE}.")
  private int runs;

  @Option(
      names = "--minutes",
      paramLabel = "MINUTES",
      defaultValue = "10",
      description = "Length of the takes together. Default: ${DEFAULT-VALUE}.")
  private double minutes;

  @Option(
      names = "--only",
      split = ",",
      paramLabel = "PART",
      description = "Only these, with commas between: ${COMPLETION-CANDIDATES}. Default: all.")
  private Set<Part> only = EnumSet.allOf(Part.class);

  private static final String OPERATIONS_NOTE =
      "Where the last column is below 1 the tool is faster. The tools do not do the same work:"
          + " aubioonset\nfinds onsets alone, while `segment` also finds ends, notes and kinds.";

  private static final String HOOK_NOTE =
      "The regions of a stereo take of 60 s and 24 bits from a running service, by each way in"
          + " turn, from the\nstart of the program to its end.";

  private static final String BUILD_NOTE =
      "Each run measures the chain (aubioonset, aubiopitch, SoX noisered and rate -v -s, FFmpeg"
          + " ebur128\nwith true peak: each a new process, and they write no samples) and after it the"
          + " commands, on\nall cores, from calling `./takewright` to its end, with page, map and"
          + " DLS. A service draws the pictures\nof its page after the build; the command draws them"
          + " before it ends. Processor time counts the\nservice's too.";

  private final PrintStream out;
  private String measuredOn;

  Bench(PrintStream out) {
    this.out = out;
  }

  public static void main(String[] args) {
    PrintStream out = new PrintStream(System.out, true, StandardCharsets.UTF_8);
    System.exit(commandLine(out).execute(args));
  }

  static CommandLine commandLine(PrintStream out) {
    return new CommandLine(new Bench(out))
        .setOut(new java.io.PrintWriter(out, true, StandardCharsets.UTF_8))
        .setCaseInsensitiveEnumValuesAllowed(true)
        .setParameterExceptionHandler((e, args) -> complain(e))
        .setExecutionExceptionHandler((e, line, parsed) -> complain(e));
  }

  private static int complain(Exception failure) {
    System.err.println("takewright: " + String.valueOf(failure.getMessage()).replace('\n', ' '));
    return 2;
  }

  @Override
  public Integer call() throws Exception {
    if (!(minutes >= 0.5 && minutes <= 60)) {
      throw new IllegalArgumentException("--minutes must be 0.5 to 60, not " + minutes);
    }
    if (!(runs >= 1 && runs <= 100)) {
      throw new IllegalArgumentException("--runs must be 1 to 100, not " + runs);
    }
    if (into != null && !Files.isRegularFile(into)) {
      throw new IllegalArgumentException("--into: there is no file " + into);
    }
    Path folder = Files.createTempDirectory("takewright-bench-");
    try {
      measure(folder);
    } finally {
      Takes.delete(folder);
    }
    return 0;
  }

  private void measure(Path folder) throws Exception {
    say("making the takes");
    Takes.Session session = Takes.make(folder.resolve("session"), minutes);
    Path impulse = Takes.impulse(folder);
    measuredOn = measuredOn(session);
    out.println(measuredOn + "\n");
    if (only.contains(Part.OPERATIONS) || only.contains(Part.BUILD)) {
      say("measuring other tools");
      List<Path> notes = new ArrayList<>();
      for (Path take : session.takes()) {
        notes.add(Operations.notes(take, folder.resolve("notes-" + take.getFileName())));
      }
      Rivals rivals = new Rivals(folder, session.takes(), notes, impulse);
      if (only.contains(Part.OPERATIONS)) {
        Map<String, Rivals.Took> tools = rivals.measure(List.of(), Rivals.RUNS);
        say("measuring the operations");
        print(new OperationTable(session, notes, impulse, tools).measure(), OPERATIONS_NOTE);
      }
      if (only.contains(Part.BUILD)) {
        say("measuring the build");
        print(new PairedBuilds(session, rivals, folder).measure(runs), BUILD_NOTE);
      }
      rivals.missing().forEach(missing -> out.println("Left out: " + missing + "."));
    }
    if (only.contains(Part.SERVICE)) {
      say("measuring the service");
      Table table = new Table("The service", "", "measured", "unit", "limit");
      ServiceSpeed.rows(ServiceSpeed.measure(session.takes().get(0))).forEach(table::row);
      print(table, "");
    }
    if (only.contains(Part.HOOK)) {
      say("measuring an editor's hook");
      HookCalls hook = new HookCalls(session.takes().get(0), folder);
      print(hook.measure(4 * runs), HOOK_NOTE);
      hook.missing().forEach(missing -> out.println("Left out: " + missing + "."));
    }
    if (only.contains(Part.KERNELS)) {
      say("measuring the inner loops");
      Table table = new Table("Inner loops (JMH)", "", "µs", "± µs", "bytes allocated");
      Kernels.measure().forEach(table::row);
      print(table, "");
    }
  }

  /** Onsets, pitch, noise, resampling and loudness, one after another; NaN if one is missing. */
  static Rivals.Took chain(Map<String, Rivals.Took> tools) {
    Rivals.Took sum = new Rivals.Took(0, 0);
    for (String tool : Rivals.CHAIN) {
      if (!tools.containsKey(tool)) {
        return new Rivals.Took(Double.NaN, Double.NaN);
      }
      sum = sum.plus(tools.get(tool));
    }
    return sum;
  }

  /** What was measured, on which takes, where and when. */
  private String measuredOn(Takes.Session session) {
    var system = ManagementFactory.getOperatingSystemMXBean();
    return String.format(
        Locale.ROOT,
        "Measured on %s by `./takewright bench --only %s`: %s of %.1f min, %d Hz, mono, 24 bits;"
            + " Java %s, %d cores, load %.1f before the start.",
        LocalDate.now(ZoneOffset.UTC),
        String.join(",", only.stream().map(p -> p.name().toLowerCase(Locale.ROOT)).toList()),
        session.real() ? "takes of real notes in a room" : "the demo's takes (no recordings here)",
        session.seconds() / 60,
        Takes.RATE,
        System.getProperty("java.version"),
        system.getAvailableProcessors(),
        system.getSystemLoadAverage());
  }

  private void print(Table table, String note) throws IOException {
    String text = note.isEmpty() ? "" : "\n" + note + "\n";
    out.println(table.render(markdown) + text);
    if (into != null) {
      Results.put(into, table.render(true) + text + "\n" + measuredOn + "\n");
    }
  }

  private static void say(String what) {
    System.err.println(what + "...");
  }
}
