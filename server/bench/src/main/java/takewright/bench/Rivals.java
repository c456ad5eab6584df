package takewright.bench;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;

/** General-purpose tools of the same tasks, each on one core, from file to nowhere. */
final class Rivals {
  /** Runs of each tool, of which the fastest counts. */
  private static final int RUNS = 2;

  private final Path folder;
  private final List<Path> takes;
  private final Path impulse;
  private final Set<String> missing = new TreeSet<>();

  Rivals(Path folder, List<Path> takes, Path impulse) {
    this.folder = folder;
    this.takes = takes;
    this.impulse = impulse;
  }

  /** What is not installed here, or lacks a part. */
  Set<String> missing() {
    return missing;
  }

  /** Processor time of every tool, in seconds, by its name; for all takes once. */
  Map<String, Double> measure() throws IOException, InterruptedException {
    Map<String, Double> all = new LinkedHashMap<>();
    add(all, "aubioonset", take -> List.of("aubioonset", "-i", take));
    add(all, "aubiopitch", take -> List.of("aubiopitch", "-p", "yinfft", "-i", take));
    add(all, "sox noisered", this::noisered);
    add(all, "sox rate -v -s", take -> List.of("sox", take, "-n", "rate", "-v", "-s", "44100"));
    add(all, "ffmpeg afftdn", take -> ffmpeg(take, "-af", "afftdn"));
    add(all, "ffmpeg ebur128", take -> ffmpeg(take, "-af", "ebur128=peak=true"));
    add(
        all,
        "ffmpeg soxr",
        take -> ffmpeg(take, "-af", "aresample=44100:resampler=soxr:precision=28"));
    add(
        all,
        "ffmpeg afir",
        take -> ffmpeg(take, "-i", impulse.toString(), "-filter_complex", "[0][1]afir"));
    return all;
  }

  private interface Command {
    List<String> on(String take) throws IOException, InterruptedException;
  }

  private void add(Map<String, Double> all, String name, Command command)
      throws InterruptedException {
    String tool = name.split(" ")[0];
    if (Program.find(tool) == null) {
      missing.add(tool + " is not installed");
      return;
    }
    double best = Double.POSITIVE_INFINITY;
    try {
      for (int run = 0; run < RUNS; run++) {
        double sum = 0;
        for (Path take : takes) {
          List<String> line = command.on(take.toString());
          sum += Program.run(Program.onOneCore(line)).cpuS();
        }
        best = Math.min(best, sum);
      }
      all.put(name, best);
    } catch (IOException e) {
      missing.add(name + " does not run here: " + e.getMessage());
    }
  }

  private List<String> noisered(String take) throws IOException, InterruptedException {
    String profile = folder.resolve("noise.prof").toString();
    // The same two seconds as ours, and not in its time.
    Program.run(List.of("sox", take, "-n", "trim", "0", "2", "noiseprof", profile));
    return List.of("sox", take, "-n", "noisered", profile, "0.21");
  }

  private static List<String> ffmpeg(String take, String... filter) {
    List<String> command =
        new ArrayList<>(List.of("ffmpeg", "-hide_banner", "-nostdin", "-v", "error"));
    command.addAll(List.of("-threads", "1", "-filter_threads", "1", "-i", take));
    command.addAll(List.of(filter));
    command.addAll(List.of("-f", "null", "-"));
    return command;
  }
}
