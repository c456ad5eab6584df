package takewright.bench;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.function.ToDoubleFunction;
import takewright.dsp.Medians;

/**
 * The whole build as users call it, again and again beside the chain of tools: the command by
 * itself, and with a running service. Each run measures the chain first and all builds after it, so
 * that what else the machine does meets both alike.
 */
final class PairedBuilds {
  /** Builds before those that count: the JIT has compiled most of the service by then. */
  private static final int WARM_UP = 3;

  private static final String CHAIN = "the chain of tools, one after another on one core";
  private static final String COLD = "build, in the command's own process";
  private static final String WARM = "build, a service is running";
  private static final String FIX = "again after one fix (a sample is 1.5 dB louder)";
  private static final String SETTING = "again after one changed setting (cleaning, all samples)";
  private static final String NOTHING = "again with nothing changed";

  private final Takes.Session session;
  private final Rivals rivals;
  private final Path folder;
  private final Map<String, List<Program.Took>> measured = new LinkedHashMap<>();

  PairedBuilds(Takes.Session session, Rivals rivals, Path folder) {
    this.session = session;
    this.rivals = rivals;
    this.folder = folder;
  }

  /** Measures this many runs. The table has a row for each kind of build. */
  Table measure(int runs) throws IOException, InterruptedException {
    String sheet = Files.readString(session.sheet());
    Path cold = folder.resolve("cold");
    Path warm = folder.resolve("warm");
    Path fix = Files.writeString(folder.resolve("fix.yaml"), session.fix());
    try (ServiceProcess service = new ServiceProcess(folder)) {
      for (int run = -WARM_UP; run < runs; run++) {
        boolean counts = run >= 0;
        if (counts) {
          Rivals.Took chain = chain();
          add(CHAIN, new Program.Took(chain.wallS(), chain.cpuS(), 0, ""));
          add(COLD, Program.run(build(cold, List.of("--local"))));
          Takes.delete(cold);
        }
        // A service remembers what it heard in a take: one of another time is heard anew.
        touchTakes();
        keep(counts, WARM, onService(service, warm));
        keep(counts, NOTHING, onService(service, warm));
        keep(counts, FIX, onService(service, warm, "--decisions", fix.toString()));
        Files.writeString(session.sheet(), sheet + "cleaning: {amount_db: 12}\n");
        keep(counts, SETTING, onService(service, warm));
        Files.writeString(session.sheet(), sheet);
        // It still draws pictures into the folder.
        service.awaitIdle();
        Takes.delete(warm);
      }
    }
    return table();
  }

  private Rivals.Took chain() throws InterruptedException {
    return Bench.chain(rivals.measure(Rivals.CHAIN, 1));
  }

  private List<String> build(Path out, List<String> more) {
    List<String> command = new ArrayList<>();
    command.add(Takes.root().resolve("takewright").toString());
    command.addAll(List.of("build", session.sheet().toString(), "--out", out.toString()));
    command.addAll(more);
    return command;
  }

  /** The command's time on the clock, with the processor time of both processes. */
  private Program.Took onService(ServiceProcess service, Path out, String... more)
      throws IOException, InterruptedException {
    List<String> caller = new ArrayList<>(List.of("--server", service.address()));
    caller.addAll(List.of("--token-file", service.token().toString()));
    caller.addAll(List.of(more));
    service.awaitIdle();
    double before = service.processorTime().toNanos() / 1e9;
    Program.Took command = Program.run(build(out, caller));
    double used = service.processorTime().toNanos() / 1e9 - before;
    return new Program.Took(command.wallS(), command.cpuS() + used, service.peakMb(), "");
  }

  private void keep(boolean counts, String kind, Program.Took took) {
    if (counts) {
      add(kind, took);
    }
  }

  private void add(String kind, Program.Took took) {
    measured.computeIfAbsent(kind, unused -> new ArrayList<>()).add(took);
  }

  private void touchTakes() throws IOException {
    FileTime now = FileTime.fromMillis(System.currentTimeMillis());
    for (Path take : session.takes()) {
      Files.setLastModifiedTime(take, now);
    }
  }

  private Table table() {
    Table table =
        new Table(
            "The whole build",
            "",
            "wall clock, s",
            "processor time, s",
            "peak MiB",
            "wall clock / chain's, each run",
            "median");
    List<Program.Took> chain = measured.get(CHAIN);
    measured.forEach(
        (kind, runs) -> {
          double[] ratios = new double[runs.size()];
          for (int run = 0; run < ratios.length; run++) {
            ratios[run] = runs.get(run).wallS() / chain.get(run).wallS();
          }
          table.row(
              kind,
              Table.figure(median(runs, Program.Took::wallS)),
              Table.figure(median(runs, Program.Took::cpuS)),
              Table.figure(zeroIsUnknown(median(runs, Program.Took::peakMb))),
              String.join(" ", Arrays.stream(ratios).mapToObj(Table::figure).toList()),
              Table.figure(Medians.of(ratios)));
        });
    return table;
  }

  private static double zeroIsUnknown(double value) {
    return value == 0 ? Double.NaN : value;
  }

  private static double median(List<Program.Took> runs, ToDoubleFunction<Program.Took> what) {
    return Medians.of(runs.stream().mapToDouble(what).toArray());
  }
}
