package takewright.bench;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;

/** A service as its user starts it: by the launcher, in a process of its own. */
final class ServiceProcess implements AutoCloseable {
  /** A service that used less than this in {@link #LOOK_MS} has nothing left to do. */
  private static final long IDLE_MS = 20;

  private static final long LOOK_MS = 500;

  /** Pictures of a library are drawn by then. */
  private static final int MAX_LOOKS = 600;

  private final Path folder;
  private final Process process;
  private final String address;
  private final String http;
  private final double readyS;

  /**
   * Starts a service and waits until it is ready.
   *
   * @param granted folders that it may read and write
   */
  ServiceProcess(Path... granted) throws IOException {
    this(List.of(), granted);
  }

  /** The same with further options of {@code serve}. */
  ServiceProcess(List<String> options, Path... granted) throws IOException {
    folder = Files.createTempDirectory("bench");
    List<String> command = new ArrayList<>();
    command.add(Takes.root().resolve("takewright").toString());
    command.addAll(List.of("serve", "--port", "0", "--token-file", token().toString()));
    command.addAll(List.of("--state", folder.resolve("state").toString()));
    command.addAll(options);
    for (Path grant : granted) {
      command.addAll(List.of("--allow", grant.toString()));
    }
    long start = System.nanoTime();
    process = new ProcessBuilder(command).redirectError(ProcessBuilder.Redirect.DISCARD).start();
    // Not closed: the process would be told when it writes again.
    BufferedReader out =
        new BufferedReader(new InputStreamReader(process.getInputStream(), StandardCharsets.UTF_8));
    String line = out.readLine();
    readyS = (System.nanoTime() - start) / 1e9;
    if (line == null || !line.startsWith("listening on ")) {
      close();
      throw new IOException("the service did not start");
    }
    address = line.substring(13, line.indexOf(','));
    int plain = line.indexOf("http://");
    http = plain < 0 ? null : line.substring(plain).strip();
  }

  /** HOST:PORT. */
  String address() {
    return address;
  }

  /** Where it answers plain HTTP; null if that was not asked for. */
  String http() {
    return http;
  }

  /** The file with its token. */
  Path token() {
    return folder.resolve("token");
  }

  /** Seconds from the start of the launcher to a service that is ready. */
  double readyS() {
    return readyS;
  }

  /** Of the service's process, all its threads. */
  Duration processorTime() {
    return process.info().totalCpuDuration().orElseThrow();
  }

  /** The most memory that it ever had resident, in MiB; 0 if that is not known. */
  double peakMb() {
    return Program.peakMb(process.pid());
  }

  /** Waits until it has nothing left to do. */
  void awaitIdle() throws InterruptedException {
    for (int look = 0; look < MAX_LOOKS; look++) {
      Duration before = processorTime();
      Thread.sleep(LOOK_MS);
      if (processorTime().minus(before).toMillis() < IDLE_MS) {
        return;
      }
    }
  }

  @Override
  public void close() throws IOException {
    process.destroy();
    try {
      process.waitFor(10, TimeUnit.SECONDS);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
    Takes.delete(folder);
  }
}
