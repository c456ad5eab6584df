package takewright.bench;

import java.io.IOException;
import java.io.PrintStream;
import java.lang.management.ManagementFactory;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
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
            + " task, the whole build and the service. Tools that are not installed are left out.",
    subcommands = {LongTake.class, Fuzz.class, Work.class})
public final class Bench implements Callable<Integer> {
  /** What can be measured. */
  enum Part {
    KERNELS,
    OPERATIONS,
    BUILD,
    SERVICE
  }

  @Option(names = "--markdown", description = "Tables as Markdown.")
  private boolean markdown;

  @Option(
      names = "--minutes",
      defaultValue = "10",
      description = "Length of the takes together. Default: ${DEFAULT-VALUE}.")
  private double minutes;

  @Option(
      names = "--only",
      split = ",",
      paramLabel = "PART",
      description = "Only these, with commas between: ${COMPLETION-CANDIDATES}. Default: all.")
  private Set<Part> only = EnumSet.allOf(Part.class);

  private final PrintStream out;

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
    var system = ManagementFactory.getOperatingSystemMXBean();
    out.printf(
        Locale.ROOT,
        "%s of %.1f min, %d Hz, mono, 24 bits; Java %s, %d cores, load %.1f before the start.%n%n",
        session.real()
            ? "Takes of real notes in a room,"
            : "The demo's takes (no recordings here),",
        session.seconds() / 60,
        Takes.RATE,
        System.getProperty("java.version"),
        system.getAvailableProcessors(),
        system.getSystemLoadAverage());
    if (only.contains(Part.OPERATIONS) || only.contains(Part.BUILD)) {
      say("measuring other tools");
      List<Path> notes = new ArrayList<>();
      for (Path take : session.takes()) {
        notes.add(Operations.notes(take, folder.resolve("notes-" + take.getFileName())));
      }
      Rivals rivals = new Rivals(folder, session.takes(), notes, impulse);
      Map<String, Rivals.Took> tools = rivals.measure();
      if (only.contains(Part.OPERATIONS)) {
        say("measuring the operations");
        print(new OperationTable(session, notes, impulse, tools).measure());
      }
      rivals.missing().forEach(missing -> out.println("Left out: " + missing + "."));
      if (only.contains(Part.BUILD)) {
        say("measuring the build");
        build(session, folder, chain(tools));
      }
    }
    if (only.contains(Part.SERVICE)) {
      say("measuring the service");
      Table table = new Table("The service", "", "measured", "unit", "limit");
      ServiceSpeed.rows(ServiceSpeed.measure(session.takes().get(0))).forEach(table::row);
      print(table);
    }
    if (only.contains(Part.KERNELS)) {
      say("measuring the inner loops");
      Table table = new Table("Inner loops (JMH)", "", "µs", "± µs", "bytes allocated");
      Kernels.measure().forEach(table::row);
      print(table);
    }
  }

  /** Onsets, pitch, noise, resampling and loudness, one after another; NaN if one is missing. */
  static Rivals.Took chain(Map<String, Rivals.Took> tools) {
    Rivals.Took sum = new Rivals.Took(0, 0);
    for (String tool :
        List.of("aubioonset", "aubiopitch", "sox noisered", "sox rate -v -s", "ffmpeg ebur128")) {
      if (!tools.containsKey(tool)) {
        return new Rivals.Took(Double.NaN, Double.NaN);
      }
      sum = sum.plus(tools.get(tool));
    }
    return sum;
  }

  private void build(Takes.Session session, Path folder, Rivals.Took chain)
      throws IOException, InterruptedException {
    Table table =
        new Table(
            "The whole build",
            "",
            "wall clock, s",
            "processor time, s",
            "audio s / wall clock s",
            "peak MiB",
            "MB allocated",
            "tool chain / this, processor time",
            "tool chain / this, wall clock");
    for (boolean oneCore : new boolean[] {true, false}) {
      String cores = oneCore ? ", one core" : ", all cores";
      Path library = folder.resolve("cold");
      List<String> cold =
          List.of(
              Takes.root().resolve("takewright").toString(),
              "build",
              session.sheet().toString(),
              "--out",
              library.toString(),
              "--local");
      Program.Took took = Program.run(oneCore ? Program.onOneCore(cold) : cold);
      Takes.delete(library);
      buildRow(table, session, "cold" + cores, took, Double.NaN, chain);
      List<String> warm =
          Program.own(List.of(), "work", "build", session.sheet().toString(), folder.toString());
      Program.Took all = Program.run(oneCore ? Program.onOneCore(warm) : warm);
      Builds.Took one = Builds.Took.read(all.out());
      buildRow(
          table,
          session,
          "warm" + cores,
          new Program.Took(one.wallS(), one.cpuS(), all.peakMb(), ""),
          one.allocated(),
          chain);
    }
    print(table);
    out.printf(
        Locale.ROOT,
        "The tool chain (aubioonset, aubiopitch, SoX noisered and rate -v -s, FFmpeg ebur128) took"
            + " %s s of processor time and %s s of wall clock, one after another on one core, each"
            + " a new process; it writes no samples.%n%n",
        Table.figure(chain.cpuS()),
        Table.figure(chain.wallS()));
  }

  private static void buildRow(
      Table table,
      Takes.Session session,
      String name,
      Program.Took took,
      double allocated,
      Rivals.Took chain) {
    table.row(
        name,
        Table.figure(took.wallS()),
        Table.figure(took.cpuS()),
        Table.figure(session.seconds() / took.wallS()),
        Table.figure(took.peakMb()),
        Table.figure(allocated / 1e6),
        Table.figure(chain.cpuS() / took.cpuS()),
        Table.figure(chain.wallS() / took.wallS()));
  }

  private void print(Table table) {
    out.println(table.render(markdown));
  }

  private static void say(String what) {
    System.err.println(what + "...");
  }
}
