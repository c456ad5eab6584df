package takewright.cli;

import java.io.IOException;
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
import takewright.cli.option.TemperamentOption;
import takewright.cli.show.Sets;
import takewright.cli.show.Texts;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.RetuneConfig;
import takewright.v1.RetuneReport;
import takewright.v1.RetuneRequest;
import takewright.v1.RetuneResponse;

@Command(
    name = "retune",
    mixinStandardHelpOptions = true,
    description = "Moves the pitch of a sample to its nearest note, or by a number of cents.")
final class RetuneCommand implements Callable<Integer> {
  @ParentCommand private Main main;
  @Mixin private Connection connection;
  @Mixin private InAndOut files;

  @Option(
      names = "--cents",
      paramLabel = "CENTS",
      description =
          "How far to move the pitch, -1200 to 1200. Default: to the nearest note, as"
              + " measured.")
  private Double cents;

  @Option(
      names = "--tuning-hz",
      paramLabel = "HZ",
      description = "Without --cents: frequency of A4 in hertz, 392 to 466. Default: 440.")
  private Double tuningHz;

  @Option(
      names = "--limit-cents",
      paramLabel = "CENTS",
      description =
          "Without --cents: a note further off than this is not moved, 0 to 1200."
              + " Default: 60.")
  private Double limitCents;

  @Option(
      names = "--temperament",
      paramLabel = "NAME",
      description =
          "Without --cents: where the notes lie: equal, pythagorean,"
              + " quarter_comma_meantone, werckmeister_3, kirnberger_3, vallotti or just."
              + " Default: equal.")
  private TemperamentOption temperament;

  @Option(
      names = "--temperament-root",
      paramLabel = "NOTE",
      description = "The note on which the temperament begins, such as D or Eb. Default: C.")
  private String temperamentRoot;

  @Option(
      names = "--offsets-cents",
      paramLabel = "CENTS",
      split = ",",
      description =
          "Where the notes lie, instead of --temperament: twelve numbers, separated by"
              + " commas, by how many cents C, C#, D, ... B lie above equal temperament.")
  private List<Double> offsetsCents;

  @Option(
      names = "--steady-pitch",
      description = "Removes slow drift within the note; vibrato stays.")
  private boolean steadyPitch;

  @Option(
      names = "--sample-rate",
      paramLabel = "HZ",
      description = "Sample rate of the result in hertz, 8000 to 192000. Default: that of IN.")
  @Sets("config.output_sample_rate_hz")
  private Integer sampleRate;

  @Override
  public Integer call() throws IOException {
    RetuneConfig.Builder config =
        RetuneConfig.newBuilder().setInput(files.input()).setOutput(files.output());
    if (cents != null) {
      config.setCents(cents);
    }
    if (tuningHz != null) {
      config.setTuningHz(tuningHz);
    }
    if (limitCents != null) {
      config.setLimitCents(limitCents);
    }
    if (temperament != null) {
      config.setTemperament(temperament.wire());
    }
    if (temperamentRoot != null) {
      config.setTemperamentRoot(temperamentRoot);
    }
    if (offsetsCents != null) {
      config.addAllOffsetsCents(offsetsCents);
    }
    config.setSteadyPitch(steadyPitch);
    if (sampleRate != null) {
      config.setOutputSampleRateHz(sampleRate);
    }
    List<RetuneResponse> answers;
    try (Connection.OpenConnection session = connection.open()) {
      answers =
          StreamedCalls.join(
              StreamedCalls.start(
                  OperationsServiceGrpc.newStub(session.channel())::retune,
                  RetuneRequest.newBuilder().setConfig(config).build()));
    }
    RetuneReport report = answers.get(answers.size() - 1).getReport();
    String heard =
        report.hasBefore()
            ? String.format(
                Locale.ROOT,
                ", heard as %s %s",
                report.getBefore().getNote(),
                Texts.cents(report.getBefore().getCents()))
            : "";
    String drift =
        report.getDriftCents() > 0
            ? String.format(Locale.ROOT, ", drift of %.1f cents removed", report.getDriftCents())
            : "";
    main.out.println(
        String.format(
            Locale.ROOT,
            "%s: moved by %s%s%s%s",
            files.out(),
            Texts.cents(report.getMovedCents()),
            heard,
            drift,
            Texts.explained(report.getFlagsList())));
    return Main.DONE;
  }
}
