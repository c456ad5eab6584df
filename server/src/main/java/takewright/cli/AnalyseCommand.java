package takewright.cli;

import io.grpc.StatusRuntimeException;
import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayDeque;
import java.util.List;
import java.util.Queue;
import java.util.concurrent.Callable;
import java.util.concurrent.CompletableFuture;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.ParentCommand;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.OperationsServiceGrpc.OperationsServiceStub;
import takewright.v1.SampleFacts;

@Command(
    name = "analyse",
    mixinStandardHelpOptions = true,
    description = "Measures samples: pitch, level, noise; a row a file, as CSV.")
final class AnalyseCommand implements Callable<Integer> {
  private static final List<String> COLUMNS =
      List.of(
          "file",
          "kind",
          "note",
          "midi",
          "cents",
          "confidence",
          "level_lufs",
          "peak_dbtp",
          "floor_dbfs",
          "flags",
          "frequency_hz",
          "frames",
          "sample_rate_hz",
          "channels");

  /** Files in work at once: every core is busy, and no more is held in memory than that. */
  private static final int AT_ONCE = Runtime.getRuntime().availableProcessors();

  @ParentCommand private Main main;
  @Mixin private Connection connection;

  @Parameters(
      arity = "1..*",
      paramLabel = "FILE",
      description = "Samples: WAV, AIFF or FLAC, at most ten minutes each.")
  private List<Path> files;

  @Option(
      names = "--kind",
      description = "What the samples are: ${COMPLETION-CANDIDATES}. Default: decided for each.")
  private KindOption kind;

  @Option(
      names = "--tuning-hz",
      paramLabel = "HZ",
      description = "Frequency of A4, 392 to 466. Default: 440.")
  private Double tuningHz;

  @Option(names = "--json", description = "JSON instead of CSV.")
  private boolean json;

  private record Started(Path file, CompletableFuture<List<AnalyseResponse>> call) {}

  @Override
  public Integer call() throws IOException {
    int status = Main.DONE;
    try (Connection.Session session = connection.open();
        Rows rows = new Rows(main.out, json, COLUMNS)) {
      OperationsServiceStub service = OperationsServiceGrpc.newStub(session.channel());
      Queue<Started> running = new ArrayDeque<>();
      int next = 0;
      while (next < files.size() || !running.isEmpty()) {
        while (next < files.size() && running.size() < AT_ONCE) {
          Path file = files.get(next++);
          running.add(new Started(file, StreamedCalls.start(service::analyse, request(file))));
        }
        Started first = running.remove();
        try {
          write(rows, first.file, StreamedCalls.join(first.call));
        } catch (StatusRuntimeException e) {
          // One bad file does not keep the others from being measured.
          main.complain(Main.describe(e));
          status = Main.FAILED;
        }
      }
    }
    return status;
  }

  private AnalyseRequest request(Path file) {
    AnalyseConfig.Builder config =
        AnalyseConfig.newBuilder().setInput(LocalFiles.input(file)).setKind(KindOption.wire(kind));
    if (tuningHz != null) {
      config.setTuningHz(tuningHz);
    }
    return AnalyseRequest.newBuilder().setConfig(config).build();
  }

  private static void write(Rows rows, Path file, List<AnalyseResponse> answers)
      throws IOException {
    for (AnalyseResponse answer : answers) {
      if (!answer.hasFacts()) {
        continue;
      }
      SampleFacts facts = answer.getFacts();
      boolean pitched = facts.hasPitch();
      rows.row(
          file,
          KindOption.word(facts.getKind()),
          pitched ? facts.getPitch().getNote() : null,
          pitched ? facts.getPitch().getMidi() : null,
          pitched ? Rows.rounded(facts.getPitch().getCents(), 2) : null,
          pitched ? Rows.rounded(facts.getPitch().getConfidence(), 3) : null,
          facts.hasLevelLufs() ? Rows.rounded(facts.getLevelLufs(), 2) : null,
          Rows.rounded(facts.getPeakDbtp(), 2),
          Rows.rounded(facts.getFloorDbfs(), 2),
          facts.getFlagsList(),
          pitched ? Rows.rounded(facts.getPitch().getFrequencyHz(), 3) : null,
          facts.getFrames(),
          facts.getSampleRateHz(),
          facts.getChannels());
    }
  }
}
