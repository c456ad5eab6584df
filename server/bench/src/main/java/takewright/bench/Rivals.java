package takewright.bench;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;

/**
 * General-purpose tools of the same tasks, each on one core, from file to nowhere. Each take is a
 * process of its own: native programs have no warm-up, and what the system keeps of a file in
 * memory serves them as it serves ours.
 */
final class Rivals {
  /** Onsets, pitch, noise, resampling and loudness: what a build does as well, and more. */
  static final List<String> CHAIN =
      List.of("aubioonset", "aubiopitch", "sox noisered", "sox rate -v -s", "ffmpeg ebur128");

  /** Runs of each tool, of which the fastest counts. */
  static final int RUNS = 2;

  private final Path folder;
  private final List<Path> takes;
  private final List<Path> notes;
  private final Path impulse;
  private final Set<String> missing = new TreeSet<>();

  /** What a tool took for all takes once, in seconds. */
  record Took(double wallS, double cpuS) {
    Took plus(Took other) {
      return new Took(wallS + other.wallS, cpuS + other.cpuS);
    }
  }

  /**
   * @param notes what sounds in the takes, for tools of pitch
   */
  Rivals(Path folder, List<Path> takes, List<Path> notes, Path impulse) {
    this.folder = folder;
    this.takes = takes;
    this.notes = notes;
    this.impulse = impulse;
  }

  /** What is not installed here, or lacks a part. */
  Set<String> missing() {
    return missing;
  }

  /**
   * What tools took, by their names.
   *
   * @param names of those that are wanted; none for all
   * @param runs of each, of which the fastest counts
   */
  Map<String, Took> measure(List<String> names, int runs) throws InterruptedException {
    Map<String, Took> took = new LinkedHashMap<>();
    for (Tool tool : tools()) {
      if (names.isEmpty() || names.contains(tool.name)) {
        add(took, tool, runs);
      }
    }
    return took;
  }

  private List<Tool> tools() {
    return List.of(
        new Tool("aubioonset", takes, take -> List.of("aubioonset", "-i", take)),
        new Tool("aubiopitch", takes, Rivals::aubiopitch),
        new Tool("aubiopitch of the notes", notes, Rivals::aubiopitch),
        new Tool("sox noisered", takes, this::noisered),
        new Tool("sox rate -v -s", takes, take -> sox(take, "rate", "-v", "-s", "44100")),
        new Tool(
            "sox speed, rate -v -s",
            takes,
            take -> sox(take, "speed", "-14c", "rate", "-v", "-s", "" + Takes.RATE)),
        new Tool("ffmpeg afftdn", takes, take -> ffmpeg(take, "-af", "afftdn")),
        new Tool("ffmpeg ebur128", takes, take -> ffmpeg(take, "-af", "ebur128=peak=true")),
        new Tool(
            "ffmpeg soxr",
            takes,
            take -> ffmpeg(take, "-af", "aresample=44100:resampler=soxr:precision=28")),
        new Tool(
            "ffmpeg afir",
            takes,
            take -> ffmpeg(take, "-i", impulse.toString(), "-filter_complex", "[0][1]afir")));
  }

  /** What a tool is run on, and how. */
  private record Tool(String name, List<Path> files, Command command) {}

  private interface Command {
    List<String> on(String take) throws IOException, InterruptedException;
  }

  private void add(Map<String, Took> all, Tool tool, int runs) throws InterruptedException {
    String program = tool.name.split(" ")[0];
    if (Program.find(program) == null) {
      missing.add(program + " is not installed");
      return;
    }
    Took best = null;
    try {
      for (int run = 0; run < runs; run++) {
        Took sum = new Took(0, 0);
        for (Path file : tool.files) {
          Program.Took took = Program.run(Program.onOneCore(tool.command.on(file.toString())));
          sum = sum.plus(new Took(took.wallS(), took.cpuS()));
        }
        best = best == null || sum.cpuS() < best.cpuS() ? sum : best;
      }
      all.put(tool.name, best);
    } catch (IOException e) {
      missing.add(tool.name + " does not run here: " + e.getMessage());
    }
  }

  private List<String> noisered(String take) throws IOException, InterruptedException {
    String profile = folder.resolve("noise.prof").toString();
    // The same two seconds as ours, and not in its time.
    Program.run(List.of("sox", take, "-n", "trim", "0", "2", "noiseprof", profile));
    return List.of("sox", take, "-n", "noisered", profile, "0.21");
  }

  private static List<String> aubiopitch(String file) {
    return List.of("aubiopitch", "-p", "yinfft", "-i", file);
  }

  private static List<String> sox(String take, String... effects) {
    List<String> command = new ArrayList<>(List.of("sox", take, "-n"));
    command.addAll(List.of(effects));
    return command;
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
