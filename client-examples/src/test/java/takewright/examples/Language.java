package takewright.examples;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.File;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import takewright.testing.Outside;

/** A client in each language, run as a script writer would. */
enum Language {
  PYTHON,
  JAVASCRIPT,
  JAVA,
  CPP;

  static final Path EXAMPLES = Path.of(System.getProperty("takewright.root"), "client-examples");

  static final Path LAUNCHER = EXAMPLES.resolveSibling("takewright");

  private static final Path JAVA_HOME = Path.of(System.getProperty("java.home"), "bin");

  /** Where the C++ client is made, once for all tests. */
  private static final Path CPP_FOLDER = Path.of("target", "cpp").toAbsolutePath();

  private static Run stubs;
  private static Run built;

  /** What a run printed and how it ended. */
  record Run(int status, List<String> out, String err) {
    /** The fields of a line, which must be there. */
    String[] fields(int line) {
      assertTrue(line < out.size(), () -> "no line " + line + " in " + this);
      return out.get(line).split("\t", -1);
    }
  }

  /** The program without its words; makes it, or skips the test where something is missing. */
  List<String> program() throws Exception {
    return switch (this) {
      case PYTHON -> List.of(python(), EXAMPLES.resolve("python/takewright_client.py").toString());
      case JAVASCRIPT -> {
        if (!Files.isDirectory(EXAMPLES.resolve("javascript/node_modules"))) {
          throw Outside.missing(
              "the JavaScript client's modules are not installed; ./takewright test installs them");
        }
        yield List.of(
            Outside.tool("node").toString(),
            EXAMPLES.resolve("javascript/takewright-client.js").toString());
      }
      case CPP -> List.of(cpp().toString());
      case JAVA -> {
        List<String> command = JavaMachine.command();
        String classes = JavaMachine.JAR + File.pathSeparator + EXAMPLES.resolve("target/classes");
        command.addAll(List.of("-cp", classes, "takewright.examples.Client"));
        yield command;
      }
    };
  }

  List<String> command(RunningService service, String... words) throws Exception {
    return command(service.address(), service.tokenFile(), words);
  }

  List<String> command(String server, Path tokenFile, String... words) throws Exception {
    List<String> command = new ArrayList<>(program());
    command.addAll(List.of(words));
    command.addAll(List.of("--server", server, "--token-file", tokenFile.toString()));
    return command;
  }

  /** The program that the example's README makes, once. */
  static synchronized Path cpp() throws Exception {
    if (built == null) {
      for (String tool : List.of("make", "g++", "pkg-config", "protoc", "grpc_cpp_plugin")) {
        Outside.tool(tool);
      }
      if (ran(List.of("pkg-config", "--exists", "grpc++", "protobuf")).status() != 0) {
        throw Outside.missing("libgrpc++-dev and libprotobuf-dev are not installed");
      }
      // In turn: `./takewright test` makes it, too, beside the tests of the program.
      Files.createDirectories(CPP_FOLDER);
      List<String> command = new ArrayList<>(List.of("flock", CPP_FOLDER.toString()));
      command.addAll(List.of("make", "-s", "-j2", "-C", EXAMPLES.resolve("cpp").toString()));
      command.add("OUT=" + CPP_FOLDER);
      built = ran(command);
    }
    assertEquals(0, built.status(), built::toString);
    return CPP_FOLDER.resolve("takewright-client");
  }

  private static synchronized String python() throws Exception {
    String python = Outside.python().toString();
    // As the example's README says, once.
    if (stubs == null) {
      stubs = ran(List.of(EXAMPLES.resolve("python/generate.sh").toString()));
    }
    if (stubs.status() != 0) {
      throw Outside.missing(stubs.err().strip());
    }
    return python;
  }

  static Run ran(List<String> command) throws IOException, InterruptedException {
    return ran(command, null, Path.of("").toAbsolutePath());
  }

  /**
   * Runs a command to its end.
   *
   * @param home taken for the user's home folder, with the tools of {@code bin} in it; null: as it
   *     is
   */
  static Run ran(List<String> command, Path home, Path from)
      throws IOException, InterruptedException {
    Path err = Files.createTempFile("err", ".txt");
    try {
      Process process = builder(command, home, from).redirectError(err.toFile()).start();
      process.getOutputStream().close();
      List<String> out;
      try (InputStream in = process.getInputStream()) {
        out = new String(in.readAllBytes(), StandardCharsets.UTF_8).lines().toList();
      }
      // Making the C++ client takes the longest: minutes where others work on the machine, too.
      assertTrue(process.waitFor(400, TimeUnit.SECONDS), "did not end: " + command);
      return new Run(process.exitValue(), out, Files.readString(err));
    } finally {
      Files.delete(err);
    }
  }

  static ProcessBuilder builder(List<String> command, Path home, Path from) {
    ProcessBuilder builder = new ProcessBuilder(command).directory(from.toFile());
    String tools = JAVA_HOME.toString();
    if (home != null) {
      builder.environment().put("HOME", home.toString()); // where the service wrote its token
      tools = home.resolve("bin") + ":" + tools;
    }
    builder.environment().merge("PATH", tools, (old, own) -> own + ":" + old);
    return builder;
  }
}
