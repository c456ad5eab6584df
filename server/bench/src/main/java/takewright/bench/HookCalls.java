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
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.dsp.Medians;

/**
 * What an editor's hook waits for: the regions of a stereo take of a minute from a running service,
 * by each way that a script has. The ways take turns, so that what else the machine does meets all
 * alike.
 */
final class HookCalls {
  private static final int SECONDS = 60;

  /** Calls before those that count: the JIT has compiled the service by then. */
  private static final int WARM_UP = 20;

  private final Path take;
  private final Map<String, List<String>> ways = new LinkedHashMap<>();
  private final List<String> missing = new ArrayList<>();

  /**
   * @param from a take of one channel, at least a minute long
   */
  HookCalls(Path from, Path folder) throws IOException {
    take = folder.resolve("hook.wav");
    try (AudioFile file = AudioFile.open(from)) {
      float[] mono = Clip.read(file, SECONDS * Takes.RATE).channel(0);
      WavWriter.write(take, Clip.of(Takes.RATE, mono, mono), 24, WavChunks.NONE);
    }
  }

  /** Programs that are not here. */
  List<String> missing() {
    return missing;
  }

  /** Measures this many calls of each way. */
  Table measure(int calls) throws IOException, InterruptedException {
    Table table =
        new Table("An editor's hook", "", "median, s", "fastest, s", "slowest, s", "limit, s");
    try (ServiceProcess service =
        new ServiceProcess(List.of("--http-port", "0"), take.getParent())) {
      addWays(service);
      Map<String, double[]> took = new LinkedHashMap<>();
      ways.keySet().forEach(way -> took.put(way, new double[calls]));
      for (int call = -WARM_UP; call < calls; call++) {
        for (Map.Entry<String, List<String>> way : ways.entrySet()) {
          // No call may be answered from what the one before has heard.
          Files.setLastModifiedTime(take, FileTime.fromMillis(System.currentTimeMillis()));
          double wallS = Program.run(way.getValue()).wallS();
          if (call >= 0) {
            took.get(way.getKey())[call] = wallS;
          }
        }
      }
      took.forEach(
          (way, seconds) -> {
            double[] sorted = seconds.clone();
            Arrays.sort(sorted);
            table.row(
                way,
                Table.figure(Medians.of(seconds)),
                Table.figure(sorted[0]),
                Table.figure(sorted[calls - 1]),
                way.startsWith("the command") ? "-" : "0.2");
          });
    }
    return table;
  }

  private void addWays(ServiceProcess service) throws IOException {
    String token = Files.readString(service.token()).strip();
    String curl = Program.find("curl");
    if (curl == null) {
      missing.add("curl");
    } else {
      ways.put(
          "curl, by plain HTTP",
          List.of(
              curl,
              "-sSf",
              "-H",
              "Authorization: Bearer " + token,
              "-d",
              "{\"config\": {\"input\": {\"file\": \"" + take + "\"}}}",
              service.http() + "/v1/Segment"));
    }
    Path client = Takes.root().resolve("client-examples/cpp/build/takewright-client");
    if (Files.isExecutable(client)) {
      ways.put("the C++ client", segment(client, service));
    } else {
      missing.add("the C++ client, which `make -C client-examples/cpp` makes");
    }
    ways.put("the command", segment(Takes.root().resolve("takewright"), service));
  }

  private List<String> segment(Path program, ServiceProcess service) {
    return List.of(
        program.toString(),
        "segment",
        take.toString(),
        "--server",
        service.address(),
        "--token-file",
        service.token().toString());
  }
}
