package takewright.cli;

import io.grpc.StatusRuntimeException;
import java.io.IOException;
import java.math.BigDecimal;
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
import takewright.cli.show.TableWriter;
import takewright.cli.show.Texts;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.BlockFacts;
import takewright.v1.Detail;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.OperationsServiceGrpc.OperationsServiceStub;
import takewright.v1.Pitch;
import takewright.v1.SampleFacts;

@Command(
    name = "analyse",
    mixinStandardHelpOptions = true,
    description = "Measures samples: pitch, level, noise. Prints CSV, one row per file.")
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
          "channels",
          "onset_s",
          "attack_ms",
          "decay_ms",
          "release_ms",
          "steady_rms_dbfs",
          "floor_before_dbfs",
          "floor_after_dbfs",
          "signal_to_noise_db",
          "centroid_hz",
          "centroid_start_hz",
          "centroid_end_hz",
          "noisiness",
          "balance_db",
          "correlation",
          "clipped_tops",
          "dropouts",
          "dc",
          "deviation_cents",
          "drift_cents",
          "vibrato_hz",
          "vibrato_cents",
          "glide_from_hz",
          "glide_to_hz",
          "pitches",
          "cents_uncertainty");

  private static final List<String> BLOCK_COLUMNS =
      List.of(
          "file",
          "start_frame",
          "end_frame",
          "rms_dbfs",
          "peak_dbfs",
          "momentary_lufs",
          "short_term_lufs",
          "note",
          "midi",
          "cents",
          "frequency_hz",
          "confidence");

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
        TableWriter rows =
            new TableWriter(main.out, json, blockMs == null ? COLUMNS : BLOCK_COLUMNS)) {
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
          }
          if (blockMs == null) {
            write(rows, first.file, answers);
          } else {
            writeBlocks(rows, first.file, answers);
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

  private static void write(TableWriter rows, Path file, List<AnalyseResponse> answers)
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
          pitched ? TableWriter.rounded(facts.getPitch().getCents(), 2) : null,
          pitched ? TableWriter.rounded(facts.getPitch().getConfidence(), 3) : null,
          facts.hasLevelLufs() ? TableWriter.rounded(facts.getLevelLufs(), 2) : null,
          TableWriter.rounded(facts.getPeakDbtp(), 2),
          TableWriter.rounded(facts.getFloorDbfs(), 2),
          Texts.words(facts.getFlagsList()),
          pitched ? TableWriter.rounded(facts.getPitch().getFrequencyHz(), 3) : null,
          facts.getFrames(),
          facts.getSampleRateHz(),
          facts.getChannels(),
          number(facts.hasEnvelope(), facts.getEnvelope().getOnsetS(), 3),
          number(facts.hasEnvelope(), facts.getEnvelope().getAttackMs(), 0),
          number(facts.hasEnvelope(), facts.getEnvelope().getDecayMs(), 0),
          number(facts.hasEnvelope(), facts.getEnvelope().getReleaseMs(), 0),
          number(facts.hasEnvelope(), facts.getEnvelope().getSteadyRmsDbfs(), 2),
          number(
              facts.getEnvelope().hasFloorBeforeDbfs(),
              facts.getEnvelope().getFloorBeforeDbfs(),
              2),
          number(
              facts.getEnvelope().hasFloorAfterDbfs(), facts.getEnvelope().getFloorAfterDbfs(), 2),
          number(
              facts.getEnvelope().hasSignalToNoiseDb(),
              facts.getEnvelope().getSignalToNoiseDb(),
              2),
          number(facts.getTimbre().hasCentroidHz(), facts.getTimbre().getCentroidHz(), 1),
          number(facts.getTimbre().hasCentroidStartHz(), facts.getTimbre().getCentroidStartHz(), 1),
          number(facts.getTimbre().hasCentroidEndHz(), facts.getTimbre().getCentroidEndHz(), 1),
          number(facts.hasTimbre(), facts.getTimbre().getNoisiness(), 4),
          number(facts.getTimbre().hasBalanceDb(), facts.getTimbre().getBalanceDb(), 2),
          number(facts.getTimbre().hasCorrelation(), facts.getTimbre().getCorrelation(), 3),
          facts.hasFaults() ? facts.getFaults().getClippedTops() : null,
          facts.hasFaults() ? facts.getFaults().getDropouts() : null,
          number(facts.hasFaults(), facts.getFaults().getDc(), 5),
          number(facts.hasCourse(), facts.getCourse().getDeviationCents(), 2),
          number(facts.hasCourse(), facts.getCourse().getDriftCents(), 2),
          number(facts.getCourse().hasVibratoHz(), facts.getCourse().getVibratoHz(), 2),
          number(facts.getCourse().hasVibratoCents(), facts.getCourse().getVibratoCents(), 2),
          number(facts.getCourse().hasGlideFromHz(), facts.getCourse().getGlideFromHz(), 3),
          number(facts.getCourse().hasGlideToHz(), facts.getCourse().getGlideToHz(), 3),
          facts.getPitchesList().stream().map(Pitch::getNote).toList(),
          number(
              facts.getPitch().hasCentsUncertainty(), facts.getPitch().getCentsUncertainty(), 2));
    }
  }

  private static void writeBlocks(TableWriter rows, Path file, List<AnalyseResponse> answers)
      throws IOException {
    for (AnalyseResponse answer : answers) {
      if (!answer.hasBlock()) {
        continue;
      }
      BlockFacts block = answer.getBlock();
      boolean pitched = block.hasPitch();
      rows.row(
          file,
          block.getFrames().getStartFrame(),
          block.getFrames().getEndFrame(),
          TableWriter.rounded(block.getRmsDbfs(), 2),
          TableWriter.rounded(block.getPeakDbfs(), 2),
          number(block.hasMomentaryLufs(), block.getMomentaryLufs(), 2),
          number(block.hasShortTermLufs(), block.getShortTermLufs(), 2),
          pitched ? block.getPitch().getNote() : null,
          pitched ? block.getPitch().getMidi() : null,
          number(pitched, block.getPitch().getCents(), 1),
          number(pitched, block.getPitch().getFrequencyHz(), 3),
          number(pitched, block.getPitch().getConfidence(), 3));
    }
  }

  /** Null if it is not known. */
  private static BigDecimal number(boolean known, double value, int digits) {
    return known ? TableWriter.rounded(value, digits) : null;
  }
}
