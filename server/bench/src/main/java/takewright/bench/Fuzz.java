package takewright.bench;

import java.io.File;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import takewright.bench.fuzz.Target;

/** Starts Jazzer on a target; what it finds is left in a folder, to be kept as a test. */
@Command(
    name = "fuzz",
    mixinStandardHelpOptions = true,
    description = "Feeds readers and service with what nobody would write, guided by coverage.")
final class Fuzz implements Callable<Integer> {
  @Option(
      names = "--seconds",
      defaultValue = "240",
      description = "Time for each target. Default: ${DEFAULT-VALUE}.")
  private int seconds;

  @Option(
      names = "--folder",
      required = true,
      paramLabel = "DIR",
      description = "Where corpus and finds are kept, a folder a target.")
  private Path folder;

  @Parameters(description = "Targets: ${COMPLETION-CANDIDATES}. Default: all.")
  private List<Target> targets = List.of(Target.values());

  @Override
  public Integer call() throws Exception {
    int worst = 0;
    for (Target target : targets) {
      Path place = folder.resolve(target.folder()).toAbsolutePath();
      Path corpus = Files.createDirectories(place.resolve("corpus"));
      Path seeds = Files.createDirectories(place.resolve("seeds"));
      int n = 0;
      for (byte[] seed : target.seeds()) {
        Files.write(seeds.resolve("seed" + n++), seed);
      }
      List<String> command = new ArrayList<>();
      command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
      command.addAll(List.of("-Xmx768m", "-cp", System.getProperty("java.class.path")));
      // Jazzer's own hooks on native libraries are too much for the network's.
      command.add("-Dio.grpc.netty.shaded.io.netty.transport.noNative=true");
      command.add("com.code_intelligence.jazzer.Jazzer");
      command.add("--target_class=" + target.type().getName());
      command.add("--instrumentation_includes=takewright.**:org.jflac.**");
      command.add("--custom_hook_includes=takewright.**");
      command.add("--keep_going=20");
      command.add("--reproducer_path=" + place);
      command.add("-artifact_prefix=" + place + File.separator);
      command.add("-max_total_time=" + seconds);
      // One input may take so long, in seconds: milliseconds as a rule, but the first starts a
      // server.
      command.add("-timeout=60");
      command.add("-rss_limit_mb=3000");
      command.add("-max_len=" + target.maxBytes());
      command.addAll(List.of(corpus.toString(), seeds.toString()));
      int status = new ProcessBuilder(command).inheritIO().start().waitFor();
      // It goes on after a find, and then ends as if nothing had been.
      boolean found = status != 0 || finds(place) > 0;
      System.out.println(target.folder() + ": " + (found ? "see " + place : "nothing found"));
      worst = found ? 1 : worst;
    }
    return worst;
  }

  private static long finds(Path place) throws IOException {
    try (var files = Files.list(place)) {
      return files
          .filter(f -> f.getFileName().toString().matches("(crash|timeout|oom)-.*"))
          .count();
    }
  }
}
