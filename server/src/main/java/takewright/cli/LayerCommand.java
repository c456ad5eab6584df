package takewright.cli;

import java.io.IOException;
import java.nio.file.Path;
import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Parameters;
import takewright.v1.LayerConfig;
import takewright.v1.LayerRequest;
import takewright.v1.OperationsServiceGrpc;

@Command(
    name = "layer",
    mixinStandardHelpOptions = true,
    description = "Makes a further layer of a sample: not in this version.")
final class LayerCommand implements Callable<Integer> {
  @Mixin private Connection connection;

  @Parameters(index = "0", paramLabel = "IN", description = "The sample.")
  private Path in;

  @Parameters(index = "1", paramLabel = "OUT", description = "The WAV file to write.")
  private Path out;

  @Override
  public Integer call() throws IOException {
    LayerConfig config =
        LayerConfig.newBuilder()
            .setInput(LocalFiles.input(in))
            .setOutput(LocalFiles.output(out, null, false))
            .build();
    try (Connection.Session session = connection.open()) {
      StreamedCalls.join(
          StreamedCalls.start(
              OperationsServiceGrpc.newStub(session.channel())::layer,
              LayerRequest.newBuilder().setConfig(config).build()));
    }
    return Main.DONE;
  }
}
