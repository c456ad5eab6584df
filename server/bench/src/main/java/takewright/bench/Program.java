package takewright.bench;

import java.io.File;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;

/** Runs another program and says what it took. */
final class Program {
  /** Time between two looks at a program's memory. */
  private static final int LOOK_MS = 20;

  private static final String BASH =
      "TIMEFORMAT='%3R %3U %3S'; out=$1; err=$2; shift 2; time \"$@\" >\"$out\" 2>\"$err\"";

  private Program() {}

  /**
   * What a run took.
   *
   * @param wallS seconds on the clock
   * @param cpuS seconds of processor time, of all threads together
   * @param peakMb most memory resident at once, in MiB; 0 if that is not known here
   */
  record Took(double wallS, double cpuS, double peakMb, String out) {}

  /** A program on the PATH, or null. */
  static String find(String name) {
    for (String folder : System.getenv().getOrDefault("PATH", "").split(File.pathSeparator)) {
      Path file = Path.of(folder, name);
      if (Files.isExecutable(file)) {
        return file.toString();
      }
    }
    return null;
  }

  /** The same command on the first core alone, where the system can do that. */
  static List<String> onOneCore(List<String> command) {
    if (find("taskset") == null) {
      return command;
    }
    List<String> all = new ArrayList<>(List.of("taskset", "-c", "0"));
    all.addAll(command);
    return all;
  }

  /**
   * A part of this program in a Java of its own, with the settings that the launcher gives.
   *
   * @param options for Java
   */
  static List<String> own(List<String> options, String... arguments) {
    List<String> command = new ArrayList<>();
    command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
    command.addAll(List.of("-Xlog:disable", "-XX:+UseParallelGC"));
    command.addAll(options);
    command.addAll(List.of("-cp", System.getProperty("java.class.path")));
    command.add(Bench.class.getName());
    command.addAll(List.of(arguments));
    return command;
  }

  /**
   * Runs a command to its end.
   *
   * @throws IOException if it fails; the last line of what it said is in the message
   */
  static Took run(List<String> command) throws IOException, InterruptedException {
    Path out = Files.createTempFile("bench", ".out");
    Path err = Files.createTempFile("bench", ".err");
    Path time = Files.createTempFile("bench", ".time");
    try {
      List<String> all = new ArrayList<>(List.of("bash", "-c", BASH, "bash"));
      all.addAll(List.of(out.toString(), err.toString()));
      all.addAll(command);
      Process process =
          new ProcessBuilder(all)
              .redirectInput(new File("/dev/null"))
              .redirectError(time.toFile())
              .redirectOutput(ProcessBuilder.Redirect.DISCARD)
              .start();
      double peak = 0;
      while (!process.waitFor(LOOK_MS, java.util.concurrent.TimeUnit.MILLISECONDS)) {
        peak =
            Math.max(peak, process.descendants().mapToDouble(p -> peakMb(p.pid())).max().orElse(0));
      }
      if (process.exitValue() != 0) {
        String said = Files.readString(err).strip();
        throw new IOException(
            command.get(0) + " failed: " + said.substring(said.lastIndexOf('\n') + 1));
      }
      String[] times = Files.readString(time).strip().replace(',', '.').split("\\s+");
      double cpu = Double.parseDouble(times[1]) + Double.parseDouble(times[2]);
      return new Took(Double.parseDouble(times[0]), cpu, peak, Files.readString(out));
    } finally {
      Files.delete(out);
      Files.delete(err);
      Files.delete(time);
    }
  }

  /** The most memory that a process ever had resident, in MiB; 0 if that is not known. */
  static double peakMb(long pid) {
    try {
      Optional<String> line =
          Files.readAllLines(Path.of("/proc/" + pid + "/status")).stream()
              .filter(l -> l.startsWith("VmHWM:"))
              .findFirst();
      return line.map(l -> Long.parseLong(l.replaceAll("\\D", "")) / 1024.0).orElse(0.0);
    } catch (IOException | RuntimeException e) {
      return 0; // it has ended, or this system says it elsewhere
    }
  }
}
