package takewright.cli;

import java.io.IOException;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.concurrent.Callable;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParentCommand;
import takewright.cli.connect.Connection;
import takewright.cli.connect.StreamedCalls;
import takewright.cli.option.InAndOut;
import takewright.cli.option.LocalFiles;
import takewright.cli.show.Sets;
import takewright.v1.LayerConfig;
import takewright.v1.LayerReport;
import takewright.v1.LayerRequest;
import takewright.v1.LayerResponse;
import takewright.v1.LayerRoom;
import takewright.v1.OperationsServiceGrpc;

@Command(
    name = "layer",
    mixinStandardHelpOptions = true,
    description = {
      "Makes a further layer of a sample: the same note in a room, through effects, or both.",
      "Without --impulse, --room and --chain: a computed room of 12 x 9 x 5 m."
    })
final class LayerCommand implements Callable<Integer> {
  private static final String METRES = "([0-9]{1,4}(?:\\.[0-9]{1,4})?)";

  private static final Pattern SIZE = Pattern.compile(METRES + "x" + METRES + "x" + METRES);

  @ParentCommand private Main main;
  @Mixin private Connection connection;
  @Mixin private InAndOut files;

  @Option(
      names = "--impulse",
      paramLabel = "FILE",
      description = "Impulse response of a room: 1, 2 or 4 channels, any length and rate.")
  @Sets("config.impulse_file")
  private Path impulse;

  @Option(
      names = "--room",
      paramLabel = "LxWxH",
      description = "A computed room of this size in metres, each 2 to 100.")
  @Sets("config.room")
  private String room;

  @Option(
      names = "--absorption",
      paramLabel = "SHARE",
      description =
          "Share of the energy that the computed room's walls absorb, 0.02 to 0.9."
              + " Default: 0.2.")
  @Sets("config.room.absorption")
  private Double absorption;

  @Option(
      names = "--wet-db",
      paramLabel = "DB",
      description =
          "Level of the room relative to the direct sound in dB, -60 to 12. Default:" + " -6.")
  private Double wetDb;

  @Option(
      names = "--pre-delay-ms",
      paramLabel = "MS",
      description = "Pre-delay of the room in milliseconds, 0 to 500. Default: 0.")
  private Double preDelayMs;

  @Option(names = "--wet-only", description = "Omits the direct sound.")
  private boolean wetOnly;

  @Option(
      names = "--chain",
      paramLabel = "EFFECTS",
      description = {
        "Effects as in a sheet: \"[{high_pass: 300}, {delay: {time_ms: 380, feedback: 0.4}}]\".",
        "high_pass, low_pass: hertz. band_pass: {hz, q}. low_shelf, high_shelf: {hz, gain_db}.",
        "delay: {time_ms or note, feedback, low_pass, wet_db}. reverb: {decay_s, damping, wet_db}.",
        "saturation, gain: dB. width: 0 to 2. reverse: true."
      })
  @Sets("config.chain_text")
  private String chain;

  @Option(
      names = "--tempo-bpm",
      paramLabel = "BPM",
      description = "Quarter notes per minute, for delays in note values.")
  private Double tempoBpm;

  @Option(
      names = "--onset-frame",
      paramLabel = "FRAME",
      description = "Frame of the onset, for reverse. Default: 0.")
  private Long onsetFrame;

  @Override
  public Integer call() throws IOException {
    LayerConfig config = config();
    List<LayerResponse> answers;
    try (Connection.OpenConnection session = connection.open()) {
      answers =
          StreamedCalls.join(
              StreamedCalls.start(
                  OperationsServiceGrpc.newStub(session.channel())::layer,
                  LayerRequest.newBuilder().setConfig(config).build()));
    }
    LayerReport report = answers.get(answers.size() - 1).getReport();
    main.out.println(
        String.format(
            Locale.ROOT,
            "%s: %d frames%s",
            files.out(),
            report.getFrames(),
            report.getGainDb() < 0
                ? String.format(
                    Locale.ROOT,
                    ", lowered by %.1f dB to stay below full scale",
                    -report.getGainDb())
                : ""));
    return Main.DONE;
  }

  private LayerConfig config() {
    LayerConfig.Builder config =
        LayerConfig.newBuilder()
            .setInput(files.input())
            .setOutput(files.output())
            .setWetOnly(wetOnly);
    if (impulse != null) {
      config.setImpulseFile(LocalFiles.absolute(impulse));
    }
    if (room != null || absorption != null) {
      config.setRoom(room());
    }
    if (wetDb != null) {
      config.setWetDb(wetDb);
    }
    if (preDelayMs != null) {
      config.setPreDelayMs(preDelayMs);
    }
    if (chain != null) {
      config.setChainText(chain);
    }
    if (tempoBpm != null) {
      config.setTempoBpm(tempoBpm);
    }
    if (onsetFrame != null) {
      config.setOnsetFrame(onsetFrame);
    }
    return config.build();
  }

  private LayerRoom room() {
    LayerRoom.Builder built = LayerRoom.newBuilder();
    if (room != null) {
      Matcher size = SIZE.matcher(room);
      if (!size.matches()) {
        throw new IllegalArgumentException(
            "--room must be LxWxH in metres, as 12x9x5, not " + room);
      }
      built
          .setLengthM(Double.parseDouble(size.group(1)))
          .setWidthM(Double.parseDouble(size.group(2)))
          .setHeightM(Double.parseDouble(size.group(3)));
    }
    if (absorption != null) {
      built.setAbsorption(absorption);
    }
    return built.build();
  }
}
