package takewright.testing;

import io.grpc.ManagedChannel;
import io.grpc.Metadata;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.stub.MetadataUtils;
import java.io.BufferedReader;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * A service in a process of its own, on a free port of this machine, for tests that stop or kill
 * it.
 */
public final class ServerProcess {
  private static final Pattern READY = Pattern.compile("127\\.0\\.0\\.1:(\\d+)");
  private static final long PATIENCE_S = 60;

  private final Process process;
  private final BufferedReader out;
  private final int port;
  private final Path token;

  private ServerProcess(Process process, BufferedReader out, int port, Path token) {
    this.process = process;
    this.out = out;
    this.port = port;
    this.token = token;
  }

  /**
   * Starts one and waits until it is ready.
   *
   * @param log gets what it writes to standard error
   * @param words further options of the command
   */
  public static ServerProcess start(Path token, Path log, String... words) throws IOException {
    return start(0, token, log, words);
  }

  /** Starts one on a port, for instance that of one which was killed. */
  public static ServerProcess start(int port, Path token, Path log, String... words)
      throws IOException {
    List<String> command =
        new ArrayList<>(
            List.of(
                Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                "-XX:TieredStopAtLevel=1",
                "-XX:+UseSerialGC",
                "-Xmx256m",
                "-cp",
                System.getProperty("java.class.path"),
                "takewright.cli.Main",
                "serve",
                "--port=" + port,
                "--token-file=" + token));
    command.addAll(List.of(words));
    Process process = new ProcessBuilder(command).redirectError(log.toFile()).start();
    BufferedReader out = process.inputReader();
    String line = out.readLine();
    Matcher ready = READY.matcher(String.valueOf(line));
    if (!ready.find()) {
      process.destroyForcibly();
      throw new AssertionError("no service: " + line + Files.readString(log));
    }
    return new ServerProcess(process, out, Integer.parseInt(ready.group(1)), token);
  }

  public int port() {
    return port;
  }

  /** The file with its token. */
  public Path tokenFile() {
    return token;
  }

  /** A channel to it that sends its token. */
  public ManagedChannel channel() throws IOException {
    return channel(Files.readString(token).strip());
  }

  /** A channel to it that sends a token. */
  public ManagedChannel channel(String bearer) {
    Metadata headers = new Metadata();
    headers.put(
        Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER), "Bearer " + bearer);
    return NettyChannelBuilder.forAddress("127.0.0.1", port)
        .usePlaintext()
        .intercept(MetadataUtils.newAttachHeadersInterceptor(headers))
        .build();
  }

  /** Ends it without a warning. */
  public void kill() throws IOException, InterruptedException {
    process.destroyForcibly();
    await();
  }

  /** Asks it to end, and waits until it has; its exit status. */
  public int stop() throws IOException, InterruptedException {
    process.destroy();
    return await();
  }

  private int await() throws IOException, InterruptedException {
    if (!process.waitFor(PATIENCE_S, TimeUnit.SECONDS)) {
      process.destroyForcibly();
      throw new AssertionError("the service does not end");
    }
    out.close();
    return process.exitValue();
  }
}
