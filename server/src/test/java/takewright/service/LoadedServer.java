package takewright.service;

import io.grpc.ManagedChannel;
import io.grpc.Metadata;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.stub.MetadataUtils;
import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStream;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import java.util.stream.Stream;

/** A service in a process of its own with a heap of 512 MiB, and what that process holds. */
final class LoadedServer implements AutoCloseable {
  private static final Pattern READY =
      Pattern.compile("127\\.0\\.0\\.1:(?<port>\\d+),.*127\\.0\\.0\\.1:(?<metrics>\\d+)/");
  private static final Pattern THREADS = Pattern.compile("Threads:\\s+(\\d+)");
  private static final Pattern RESIDENT = Pattern.compile("VmRSS:\\s+(\\d+) kB");

  private final Process process;
  private final BufferedReader said;
  private final Path folder;
  private final int port;
  private final int metricsPort;

  private LoadedServer(
      Process process, BufferedReader said, Path folder, int port, int metricsPort) {
    this.process = process;
    this.said = said;
    this.folder = folder;
    this.port = port;
    this.metricsPort = metricsPort;
  }

  /** What the process of the server holds. */
  record Held(int threads, int descriptors, int residentMb) {
    private static Held of(Process process) throws IOException {
      String status = Files.readString(Path.of("/proc/" + process.pid() + "/status"));
      Matcher threads = THREADS.matcher(status);
      Matcher resident = RESIDENT.matcher(status);
      if (!threads.find() || !resident.find()) {
        throw new IOException("the server has ended");
      }
      try (Stream<Path> descriptors = Files.list(Path.of("/proc/" + process.pid() + "/fd"))) {
        return new Held(
            Integer.parseInt(threads.group(1)),
            (int) descriptors.count(),
            Integer.parseInt(resident.group(1)) / 1024);
      }
    }

    Held max(Held other) {
      return new Held(
          Math.max(threads, other.threads),
          Math.max(descriptors, other.descriptors),
          Math.max(residentMb, other.residentMb));
    }
  }

  /** Starts one, with further options of Java. */
  static LoadedServer start(List<String> options) throws IOException {
    Path folder = Files.createTempDirectory("load");
    List<String> command = new ArrayList<>();
    command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
    // As the launcher starts a service.
    command.addAll(
        List.of("-Xmx512m", "-XX:+UseG1GC", "-XX:MinHeapFreeRatio=10", "-XX:MaxHeapFreeRatio=30"));
    command.addAll(options);
    command.addAll(
        List.of(
            "-cp",
            System.getProperty("java.class.path"),
            "takewright.cli.Main",
            "serve",
            "--port=0",
            "--metrics-port=0",
            "--state=" + folder.resolve("state"),
            "--token-file=" + folder.resolve("token")));
    Process process =
        new ProcessBuilder(command).redirectError(ProcessBuilder.Redirect.INHERIT).start();
    BufferedReader said = process.inputReader();
    Matcher ready = READY.matcher(String.valueOf(said.readLine()));
    if (!ready.find()) {
      process.destroy();
      throw new AssertionError("the server does not start");
    }
    return new LoadedServer(
        process,
        said,
        folder,
        Integer.parseInt(ready.group("port")),
        Integer.parseInt(ready.group("metrics")));
  }

  int port() {
    return port;
  }

  Held held() throws IOException {
    return Held.of(process);
  }

  /** A connection that sends the token. */
  ManagedChannel channel() throws IOException {
    Metadata headers = new Metadata();
    headers.put(
        Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER),
        "Bearer " + Files.readString(folder.resolve("token")).strip());
    return NettyChannelBuilder.forAddress("127.0.0.1", port)
        .usePlaintext()
        .intercept(MetadataUtils.newAttachHeadersInterceptor(headers))
        .build();
  }

  /** Its calls, heap and threads once what can be collected is. */
  String state() throws IOException, InterruptedException {
    new ProcessBuilder("jcmd", Long.toString(process.pid()), "GC.run")
        .redirectOutput(ProcessBuilder.Redirect.DISCARD)
        .start()
        .waitFor();
    try (InputStream page =
        URI.create("http://127.0.0.1:" + metricsPort + "/metrics").toURL().openStream()) {
      return new String(page.readAllBytes(), StandardCharsets.UTF_8)
          .lines()
          .filter(line -> line.matches("takewright_(calls_running|heap_used|threads).*"))
          .collect(Collectors.joining(", "));
    }
  }

  @Override
  public void close() throws IOException {
    process.destroy();
    try {
      process.waitFor();
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
    said.close();
    try (Stream<Path> files = Files.walk(folder)) {
      for (Path file : files.sorted(Comparator.reverseOrder()).toList()) {
        Files.delete(file);
      }
    }
  }
}
