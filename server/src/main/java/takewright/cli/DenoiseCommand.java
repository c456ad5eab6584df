package takewright.cli;

import java.io.IOException;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParentCommand;
import takewright.cli.connect.Connection;
import takewright.cli.connect.StreamedCalls;
import takewright.cli.option.InAndOut;
import takewright.cli.show.Sets;
import takewright.cli.show.Texts;
import takewright.v1.DenoiseConfig;
import takewright.v1.DenoiseReport;
import takewright.v1.DenoiseRequest;
import takewright.v1.DenoiseResponse;
import takewright.v1.OperationsServiceGrpc;

@Command(
    name = "denoise",
    mixinStandardHelpOptions = true,
    description =
        "Removes the noise of the room from a file and writes a new file of the same" + " length.")
final class DenoiseCommand implements Callable<Integer> {
  @ParentCommand private Main main;
  @Mixin private Connection connection;
  @Mixin private InAndOut files;

  @Option(
      names = "--amount-db",
      paramLabel = "DB",
      description = "How far to lower the noise floor in dB, 0 to 60. Default: 24.")
  private Double amountDb;

  @Option(
      names = "--removed",
      paramLabel = "FILE",
      description = "Also writes what was removed: input minus result.")
  @Sets({"config.removed", "config.removed.file"})
  private Path removed;

  @Override
  public Integer call() throws IOException {
    DenoiseConfig.Builder config =
        DenoiseConfig.newBuilder().setInput(files.input()).setOutput(files.output());
    if (removed != null) {
      config.setRemoved(files.output(removed));
    }
    if (amountDb != null) {
      config.setAmountDb(amountDb);
    }
    List<DenoiseResponse> answers;
    try (Connection.OpenConnection session = connection.open()) {
      answers =
          StreamedCalls.join(
              StreamedCalls.start(
                  OperationsServiceGrpc.newStub(session.channel())::denoise,
                  DenoiseRequest.newBuilder().setConfig(config).build()));
    }
    DenoiseReport report = answers.get(answers.size() - 1).getReport();
    String floor =
        report.hasFloorBeforeDbfs()
            ? String.format(
                Locale.ROOT,
                "floor %.1f dBFS before, %.1f dBFS after",
                report.getFloorBeforeDbfs(),
                report.getFloorAfterDbfs())
            : "no room tone was found, so nothing was removed";
    if (report.hasHumHz()) {
      floor +=
          String.format(
              Locale.ROOT,
              ", hum of %.2f Hz at %.1f dBFS removed",
              report.getHumHz(),
              report.getHumDbfs());
    }
    if (report.getClicksMended() > 0) {
      floor += ", clicks mended: " + report.getClicksMended();
    }
    main.out.println(files.out() + ": " + floor + Texts.explained(report.getFlagsList()));
    return Main.DONE;
  }
}
