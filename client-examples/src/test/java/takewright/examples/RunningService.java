package takewright.examples;

import java.io.BufferedReader;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Assertions;

/** The program's own jar, serving in a process of its own, as a script writer would start it. */
final class RunningService implements AutoCloseable {
  /** The one line that says that the service is ready. */
  private static final Pattern READY =
      Pattern.compile(
          "listening on (\\S+:\\d+), token in (.+?), (?:granted: |no folders granted).*?"
              + "(?:plain HTTP on http://(\\S+))?");

  private final Process process;
  private final String address;
  private final Path tokenFile;
  private final String http;

  private RunningService(Process process, String address, Path tokenFile, String http) {
    this.http = http;
    this.process = process;
    this.address = address;
    this.tokenFile = tokenFile;
  }

  /**
   * Starts the service on a free port of this machine.
   *
   * @param home taken for the user's home folder, so that the real one is left alone
   * @param folders granted to its clients
   */
  static RunningService start(Path home, Path... folders) throws Exception {
    return start(home, 0, List.of(), folders);
  }

  /**
   * The same on a port, 0 for a free one.
   *
   * @param options further words of `serve`
   */
  static RunningService start(Path home, int port, List<String> options, Path... folders)
      throws Exception {
    Path jar = JavaMachine.JAR;
    if (!Files.isRegularFile(jar)) {
      Assertions.fail("no " + jar.getFileName() + ": run mvn verify, which makes it first");
    }
    List<String> command = JavaMachine.command();
    command.addAll(List.of("-jar", jar.toString(), "serve", "--port", String.valueOf(port)));
    command.addAll(options);
    for (Path folder : folders) {
      command.add("--allow");
      command.add(folder.toString());
    }
    Path log = home.resolve("service.log");
    ProcessBuilder builder = new ProcessBuilder(command).redirectError(log.toFile());
    builder.environment().put("HOME", home.toString());
    Process process = builder.start();
    BufferedReader out = process.inputReader();
    String line = out.readLine();
    if (line != null) {
      Matcher ready = READY.matcher(line);
      if (ready.matches()) {
        return new RunningService(process, ready.group(1), Path.of(ready.group(2)), ready.group(3));
      }
    }
    process.destroy();
    return Assertions.fail(
        "the service said \"" + line + "\" and, on standard error: " + Files.readString(log));
  }

  String address() {
    return address;
  }

  /** Host and port of plain HTTP; null if it was not asked for. */
  String http() {
    return http;
  }

  Path tokenFile() {
    return tokenFile;
  }

  int port() {
    return Integer.parseInt(address.substring(address.lastIndexOf(':') + 1));
  }

  /** Ends it as a power cut does. */
  void kill() throws InterruptedException {
    process.destroyForcibly().waitFor();
  }

  @Override
  public void close() {
    process.destroy();
    try {
      if (!process.waitFor(10, TimeUnit.SECONDS)) {
        process.destroyForcibly();
      }
    } catch (InterruptedException e) {
      process.destroyForcibly();
      Thread.currentThread().interrupt();
    }
  }
}
