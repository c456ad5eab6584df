package takewright.bench;

import java.io.IOException;
import java.io.PrintStream;
import java.lang.management.ManagementFactory;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
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
    double chainS = Double.NaN;
    if (only.contains(Part.OPERATIONS) || only.contains(Part.BUILD)) {
      say("measuring other tools");
      Rivals rivals = new Rivals(folder, session.takes(), impulse);
      Map<String, Double> tools = rivals.measure();
      chainS = chain(tools);
      if (only.contains(Part.OPERATIONS)) {
        say("measuring the operations");
        operations(session, impulse, tools);
      }
      rivals.missing().forEach(missing -> out.println("Left out: " + missing + "."));
    }
    if (only.contains(Part.BUILD)) {
      say("measuring the build");
      build(session, folder, chainS);
    }
    if (only.contains(Part.SERVICE)) {
      say("measuring the service");
      Table table = new Table("The service", "", "measured", "unit", "at most");
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

  /** Onsets, pitch, noise, resampling and loudness, one after another. */
  static double chain(Map<String, Double> tools) {
    double sum = 0;
    for (String tool :
        List.of("aubioonset", "aubiopitch", "sox noisered", "sox rate -v -s", "ffmpeg ebur128")) {
      sum += tools.getOrDefault(tool, Double.NaN);
    }
    return sum;
  }

  private void operations(Takes.Session session, Path impulse, Map<String, Double> tools)
      throws IOException, InterruptedException {
    List<String> command = Program.own(List.of(), "work", "operations", impulse.toString());
    session.takes().forEach(take -> command.add(take.toString()));
    Program.Took took = Program.run(Program.onOneCore(command));
    Map<String, Operations.Took> ours = Operations.Took.read(took.out());
    Table table =
        new Table(
            "Operations on one core: seconds of audio in a second of processor time",
            "",
            "first run",
            "warm",
            "kB allocated a second",
            "tool",
            "its speed",
            "we are faster by");
    operation(
        table,
        session,
        "segment: onsets, ends, kinds, notes",
        ours.get("segment"),
        tools,
        "aubioonset");
    operation(
        table, session, "analyse: pitch of every note", ours.get("pitch"), tools, "aubiopitch");
    operation(
        table,
        session,
        "analyse: loudness, true peak, floor",
        ours.get("loudness"),
        tools,
        "ffmpeg ebur128");
    operation(table, session, "denoise", ours.get("denoise"), tools, "sox noisered");
    operation(table, session, "denoise", ours.get("denoise"), tools, "ffmpeg afftdn");
    operation(
        table, session, "resample to 44.1 kHz", ours.get("resample"), tools, "sox rate -v -s");
    operation(table, session, "resample to 44.1 kHz", ours.get("resample"), tools, "ffmpeg soxr");
    operation(table, session, "retune by -14 cents", ours.get("retune"), tools, "sox rate -v -s");
    operation(table, session, "convolve with 2 s", ours.get("convolve"), tools, "ffmpeg afir");
    operation(table, session, "read alone (in all of the above)", ours.get("read"), tools, "");
    print(table);
    out.printf(
        Locale.ROOT, "Peak memory of all of them in one process: %.0f MiB.%n%n", took.peakMb());
  }

  private static void operation(
      Table table,
      Takes.Session session,
      String name,
      Operations.Took took,
      Map<String, Double> tools,
      String tool) {
    double seconds = session.seconds();
    Double other = tools.get(tool);
    table.row(
        name,
        Table.figure(seconds / took.coldS()),
        Table.figure(seconds / took.warmS()),
        Table.figure(took.allocated() / 1000 / seconds),
        other == null ? "-" : tool,
        other == null ? "-" : Table.figure(seconds / other),
        other == null ? "-" : Table.figure(other / took.warmS()));
  }

  private void build(Takes.Session session, Path folder, double chainS)
      throws IOException, InterruptedException {
    Table table =
        new Table(
            "The whole build",
            "",
            "s on the clock",
            "s of processor",
            "audio s / clock s",
            "peak MiB",
            "MB allocated",
            "chain of tools / this");
    for (boolean oneCore : new boolean[] {true, false}) {
      String cores = oneCore ? ", one core" : ", all cores";
      Path library = folder.resolve("cold");
      List<String> cold =
          List.of(
              Takes.root().resolve("takewright").toString(),
              "build",
              session.sheet().toString(),
              "--out",
              library.toString());
      Program.Took took = Program.run(oneCore ? Program.onOneCore(cold) : cold);
      Takes.delete(library);
      buildRow(table, session, "cold" + cores, took, Double.NaN, chainS);
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
          chainS);
    }
    print(table);
    out.printf(
        Locale.ROOT,
        "The chain of tools (aubioonset, aubiopitch, SoX noisered and rate -v -s, FFmpeg ebur128) took"
            + " %s s of processor time.%n%n",
        Table.figure(chainS));
  }

  private static void buildRow(
      Table table,
      Takes.Session session,
      String name,
      Program.Took took,
      double allocated,
      double chainS) {
    table.row(
        name,
        Table.figure(took.wallS()),
        Table.figure(took.cpuS()),
        Table.figure(session.seconds() / took.wallS()),
        Table.figure(took.peakMb()),
        Table.figure(allocated / 1e6),
        Table.figure(chainS / took.wallS()));
  }

  private void print(Table table) {
    out.println(table.render(markdown));
  }

  private static void say(String what) {
    System.err.println(what + "...");
  }
}
