package takewright.cli;

import java.io.IOException;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.ParentCommand;
import takewright.cli.connect.Connection;
import takewright.cli.connect.StreamedCalls;
import takewright.cli.option.KindOption;
import takewright.cli.option.LocalFiles;
import takewright.cli.option.PictureOption;
import takewright.cli.show.Sets;
import takewright.cli.show.Texts;
import takewright.cli.table.TableColumn;
import takewright.cli.table.TableWriter;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.Region;
import takewright.v1.SegmentConfig;
import takewright.v1.SegmentRequest;
import takewright.v1.SegmentResponse;

@Command(
    name = "segment",
    mixinStandardHelpOptions = true,
    description =
        "Finds the regions of a take. Prints CSV, one row per region. The cents are an estimate,"
            + " usually within 3 cents up to 1 kHz; analyse measures them.")
final class SegmentCommand implements Callable<Integer> {
  /** A region, with the sample rate of its take in hertz. */
  private record Row(Region region, double rate) {
    boolean isPitched() {
      return region.hasPitch();
    }
  }

  /** Decimals of a second: to the microsecond, finer than a frame at any sample rate. */
  private static final int SECOND_DIGITS = 6;

  private static final List<TableColumn<Row>> COLUMNS =
      List.of(
          TableColumn.of("start_frame", row -> row.region.getStartFrame()),
          TableColumn.of("onset_frame", row -> row.region.getOnsetFrame()),
          TableColumn.of("end_frame", row -> row.region.getEndFrame()),
          TableColumn.of("start_s", SECOND_DIGITS, row -> row.region.getStartFrame() / row.rate),
          TableColumn.of("onset_s", SECOND_DIGITS, row -> row.region.getOnsetFrame() / row.rate),
          TableColumn.of("end_s", SECOND_DIGITS, row -> row.region.getEndFrame() / row.rate),
          TableColumn.of("kind", row -> KindOption.word(row.region.getKind())),
          TableColumn.of("note", Row::isPitched, row -> row.region.getPitch().getNote()),
          TableColumn.of("midi", Row::isPitched, row -> row.region.getPitch().getMidi()),
          TableColumn.of("cents", 2, Row::isPitched, row -> row.region.getPitch().getCents()),
          TableColumn.of("confidence", 3, row -> row.region.getConfidence()),
          TableColumn.of("status", row -> Texts.word(row.region.getStatus(), "REGION_STATUS_")),
          TableColumn.of("flags", row -> Texts.words(row.region.getFlagsList())),
          TableColumn.of("peak_dbfs", 2, row -> row.region.getPeakDbfs()));

  @ParentCommand private Main main;
  @Mixin private Connection connection;

  @Parameters(paramLabel = "FILE", description = "The take: WAV, AIFF or FLAC.")
  @Sets("config.input")
  private Path file;

  @Option(
      names = "--kind",
      paramLabel = "KIND",
      description =
          "What the take holds: ${COMPLETION-CANDIDATES}. Default: decided for each region.")
  private KindOption kind;

  @Option(
      names = "--lead-in-ms",
      paramLabel = "MS",
      description = "Silence kept before each onset in milliseconds, 0 to 1000. Default: 10.")
  private Double leadInMs;

  @Option(
      names = "--on-threshold-db",
      paramLabel = "DB",
      description =
          "How far above the room tone a sound must rise to start a region, in dB, 3"
              + " to 60. Default: 9.")
  private Double onThresholdDb;

  @Option(
      names = "--off-threshold-db",
      paramLabel = "DB",
      description =
          "How far above the room tone a sound must stay to remain in a region, in dB,"
              + " 1 to 60. Default: 3.")
  private Double offThresholdDb;

  @Option(
      names = "--min-gap-ms",
      paramLabel = "MS",
      description =
          "A gap up to this length does not split a region, in milliseconds, 0 to"
              + " 10000. Default: 250; 700 for phrases.")
  private Double minGapMs;

  @Option(
      names = "--min-length-ms",
      paramLabel = "MS",
      description = "Shorter sounds are rejected, in milliseconds, 1 to 10000. Default: 50.")
  private Double minLengthMs;

  @Option(
      names = "--tuning-hz",
      paramLabel = "HZ",
      description = "Frequency of A4 in hertz, 392 to 466. Default: 440.")
  private Double tuningHz;

  @Option(
      names = "--markers",
      paramLabel = "OUT.wav",
      description =
          "Also writes a copy of the take whose regions are markers with a length, which editors"
              + " show. Edit the markers, name the copy in the sheet with `cutting: {from: markers}`,"
              + " and a build cuts where they are.")
  @Sets("config.markers_file")
  private Path markers;

  @Option(
      names = "--replace",
      description = "Replaces an existing copy with markers, unless it was edited.")
  @Sets("config.replace_markers_file")
  private boolean replace;

  @Mixin private PictureOption picture;

  @Option(names = "--json", description = "Prints JSON instead of CSV.")
  private boolean json;

  @Override
  public Integer call() throws IOException {
    SegmentConfig.Builder config =
        SegmentConfig.newBuilder()
            .setInput(LocalFiles.input(file))
            .setKind(KindOption.wire(kind))
            .setPicture(picture.wanted());
    if (leadInMs != null) {
      config.setLeadInMs(leadInMs);
    }
    if (onThresholdDb != null) {
      config.setOnThresholdDb(onThresholdDb);
    }
    if (offThresholdDb != null) {
      config.setOffThresholdDb(offThresholdDb);
    }
    if (minGapMs != null) {
      config.setMinGapMs(minGapMs);
    }
    if (minLengthMs != null) {
      config.setMinLengthMs(minLengthMs);
    }
    if (tuningHz != null) {
      config.setTuningHz(tuningHz);
    }
    if (markers != null) {
      config.setMarkersFile(LocalFiles.absolute(markers)).setReplaceMarkersFile(replace);
    }
    List<SegmentResponse> answers;
    try (Connection.OpenConnection session = connection.open()) {
      answers =
          StreamedCalls.join(
              StreamedCalls.start(
                  OperationsServiceGrpc.newStub(session.channel())::segment,
                  SegmentRequest.newBuilder().setConfig(config).build()));
    }
    double rate = answers.get(answers.size() - 1).getSummary().getSampleRateHz();
    try (TableWriter<Row> rows = new TableWriter<>(main.out, json, COLUMNS)) {
      for (SegmentResponse answer : answers) {
        if (answer.hasRegion()) {
          rows.row(new Row(answer.getRegion(), rate));
        } else if (answer.hasPicture()) {
          picture.write(answer.getPicture());
        }
      }
    }
    return Main.DONE;
  }
}
