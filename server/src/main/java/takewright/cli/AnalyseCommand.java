package takewright.cli;

import io.grpc.StatusRuntimeException;
import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayDeque;
import java.util.List;
import java.util.Locale;
import java.util.Queue;
import java.util.concurrent.Callable;
import java.util.concurrent.CompletableFuture;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.ParentCommand;
import picocli.CommandLine.Spec;
import takewright.cli.connect.Connection;
import takewright.cli.connect.StreamedCalls;
import takewright.cli.option.KindOption;
import takewright.cli.option.LocalFiles;
import takewright.cli.option.PictureOption;
import takewright.cli.show.Sets;
import takewright.cli.table.MeasuredFile;
import takewright.cli.table.TableWriter;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.Detail;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.OperationsServiceGrpc.OperationsServiceStub;

@Command(
    name = "analyse",
    mixinStandardHelpOptions = true,
    description = "Measures samples: pitch, level, noise. Prints CSV, one row per file.")
final class AnalyseCommand implements Callable<Integer> {
  /** Files processed at a time: one per core, so that no more is held in memory. */
  private static final int AT_ONCE = Runtime.getRuntime().availableProcessors();

  @ParentCommand private Main main;
  @Spec private CommandSpec spec;
  @Mixin private Connection connection;

  @Parameters(
      arity = "1..*",
      paramLabel = "FILE",
      description = "Samples: WAV, AIFF or FLAC, at most ten minutes each.")
  @Sets("config.input")
  private List<Path> files;

  @Option(
      names = "--kind",
      paramLabel = "KIND",
      description =
          "What the samples are: ${COMPLETION-CANDIDATES}. Default: decided for each" + " sample.")
  private KindOption kind;

  @Option(
      names = "--tuning-hz",
      paramLabel = "HZ",
      description = "Frequency of A4 in hertz, 392 to 466. Default: 440.")
  private Double tuningHz;

  @Option(
      names = "--detail",
      paramLabel = "DETAIL",
      description =
          "How much to measure: ${COMPLETION-CANDIDATES}. What is not measured stays"
              + " empty. Default: essential.")
  private DetailOption detail = DetailOption.ESSENTIAL;

  @Option(
      names = "--blocks",
      paramLabel = "MS",
      description =
          "Prints one row per block of this many milliseconds, 10 to 1000, instead of"
              + " one per file: levels and pitch.")
  @Sets("config.block_ms")
  private Double blockMs;

  @Mixin private PictureOption picture;

  @Option(names = "--json", description = "Prints JSON instead of CSV.")
  private boolean json;

  /** How much is measured, as written on the command line. */
  enum DetailOption {
    ESSENTIAL(Detail.DETAIL_ESSENTIAL),
    CHARACTER(Detail.DETAIL_CHARACTER),
    FULL(Detail.DETAIL_FULL);

    private final Detail wire;

    DetailOption(Detail wire) {
      this.wire = wire;
    }

    @Override
    public String toString() {
      return name().toLowerCase(Locale.ROOT);
    }
  }

  private record Started(Path file, CompletableFuture<List<AnalyseResponse>> call) {}

  @Override
  public Integer call() throws IOException {
    if (picture.wanted() && files.size() > 1) {
      throw new IllegalArgumentException("--picture needs exactly one FILE; name only that");
    }
    int status = Main.DONE;
    try (Connection.OpenConnection session = connection.open();
        TableWriter<MeasuredFile> rows =
            new TableWriter<>(
                main.out,
                json,
                blockMs == null ? MeasuredFile.COLUMNS : MeasuredFile.BLOCK_COLUMNS)) {
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
          List<AnalyseResponse> answers = StreamedCalls.join(first.call);
          for (AnalyseResponse answer : answers) {
            if (answer.hasPicture()) {
              picture.write(answer.getPicture());
            }
            if (blockMs == null ? answer.hasFacts() : answer.hasBlock()) {
              rows.row(new MeasuredFile(first.file, answer));
            }
          }
        } catch (StatusRuntimeException e) {
          // A bad file does not prevent the others from being measured.
          main.complain(e, spec);
          status = Main.FAILED;
        }
      }
    }
    return status;
  }

  private AnalyseRequest request(Path file) {
    AnalyseConfig.Builder config =
        AnalyseConfig.newBuilder()
            .setInput(LocalFiles.input(file))
            .setKind(KindOption.wire(kind))
            .setDetail(detail.wire)
            .setPicture(picture.wanted());
    if (tuningHz != null) {
      config.setTuningHz(tuningHz);
    }
    if (blockMs != null) {
      config.setBlockMs(blockMs);
    }
    return AnalyseRequest.newBuilder().setConfig(config).build();
  }
}
