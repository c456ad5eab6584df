package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The launcher of an installed program, in a folder as an archive or a package lays it out. */
class InstalledLauncherTest {
  private static final Path SOURCE = Path.of("src", "dist", "takewright");

  /** Stands for Java: prints how it is called. */
  private static final String JAVA = "#!/bin/sh\necho \"$0\" \"$@\"\necho \"LC_ALL=$LC_ALL\"\n";

  /** How a command is started that works by itself. */
  private static final String COMMAND =
      "-XX:Tier4InvocationThreshold=15000 -XX:Tier4MinInvocationThreshold=1800"
          + " -XX:Tier4CompileThreshold=45000 -XX:Tier4BackEdgeThreshold=120000"
          + " -XX:InlineSmallCode=600 -XX:FreqInlineSize=100 -XX:-DoEscapeAnalysis";

  private static final String FEW_CORES = "-XX:+UseSerialGC -Xmn200m ";
  private static final String MANY_CORES = "-XX:+UseParallelGC ";

  @TempDir Path folder;
  private Path home;

  private record Run(int status, List<String> lines) {}

  @BeforeEach
  void unpack() throws IOException {
    home = Files.createDirectory(folder.resolve("a folder"));
    Files.createDirectories(home.resolve("bin"));
    Files.createDirectories(home.resolve("lib"));
    Files.copy(SOURCE, home.resolve("bin/takewright"));
    Files.createFile(home.resolve("lib/takewright.jar"));
    cores(4);
  }

  private void cores(int count) throws IOException {
    program(folder.resolve("tools/getconf"), "#!/bin/sh\necho " + count + "\n");
  }

  private static void program(Path file, String text) throws IOException {
    Files.createDirectories(file.getParent());
    Files.writeString(file, text);
    assertTrue(file.toFile().setExecutable(true));
  }

  private Run run(Path launcher, Path javaHome, String... words) throws Exception {
    List<String> command = new ArrayList<>(List.of("sh", launcher.toString()));
    command.addAll(List.of(words));
    ProcessBuilder builder = new ProcessBuilder(command).redirectErrorStream(true);
    builder.environment().remove("JAVA_HOME");
    builder.environment().put("LC_ALL", "C");
    builder.environment().merge("PATH", folder + "/tools", (path, first) -> first + ":" + path);
    if (javaHome != null) {
      builder.environment().put("JAVA_HOME", javaHome.toString());
    }
    Process process = builder.start();
    String text = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
    return new Run(process.waitFor(), text.lines().toList());
  }

  @Test
  void aRuntimeOfItsOwnIsTakenAlsoThroughALink() throws Exception {
    program(home.resolve("runtime/bin/java"), JAVA);
    Path link = Files.createSymbolicLink(folder.resolve("link"), home.resolve("bin/takewright"));

    Run run = run(link, null, "segment", "a take.wav");

    String real = home.toRealPath().toString();
    assertEquals(
        real
            + "/runtime/bin/java -Xlog:disable "
            + FEW_CORES
            + COMMAND
            + " -jar "
            + real
            + "/lib/takewright.jar segment a take.wav",
        run.lines().get(0));
    assertEquals("LC_ALL=C.UTF-8", run.lines().get(1), "names in any letters");
    Files.createFile(home.resolve("lib/takewright.jsa"));
    assertTrue(
        run(link, null, "--help").lines().get(0).contains("-XX:SharedArchiveFile=" + real),
        "with the archive of classes");
  }

  /** What a command compiles for full speed late, one that calls a service does not at all. */
  @Test
  void aCommandThatCallsAServiceIsCompiledNoFurtherThanItNeeds() throws Exception {
    program(home.resolve("runtime/bin/java"), JAVA);
    Path launcher = home.resolve("bin/takewright");
    for (String server : List.of("--server", "--server=127.0.0.1:7311")) {
      String started = run(launcher, null, "name", server, "127.0.0.1:7311").lines().get(0);
      assertTrue(
          started.contains(" -XX:TieredStopAtLevel=1 ") && !started.contains("Tier4"), started);
    }
    String alone = run(launcher, null, "build", "server.yaml").lines().get(0);
    assertTrue(alone.contains(COMMAND) && !alone.contains("TieredStop"), alone);
    String sources = Files.readString(Path.of("..", "takewright"));
    String windows = Files.readString(SOURCE.resolveSibling("takewright.cmd"));
    for (String option : COMMAND.split(" ")) {
      assertTrue(sources.contains(option) && windows.contains(option), option);
    }
  }

  @Test
  void severalThreadsCollectGarbageWhereThereAreManyCores() throws Exception {
    program(home.resolve("runtime/bin/java"), JAVA);
    Path launcher = home.resolve("bin/takewright");
    assertTrue(run(launcher, null, "build").lines().get(0).contains(FEW_CORES));
    cores(5);
    String many = run(launcher, null, "build").lines().get(0);
    assertTrue(many.contains(MANY_CORES) && !many.contains("Serial"), many);
    String sources = Files.readString(Path.of("..", "takewright"));
    assertTrue(sources.contains(FEW_CORES.strip()) && sources.contains(MANY_CORES.strip()));
  }

  /** Of all collectors of Java 17 that work on several cores, G1 alone gives memory back. */
  @Test
  void aServiceGetsACollectorThatGivesMemoryBack() throws Exception {
    program(home.resolve("runtime/bin/java"), JAVA);
    String started = run(home.resolve("bin/takewright"), null, "serve").lines().get(0);
    String options = "-XX:+UseG1GC -XX:MinHeapFreeRatio=10 -XX:MaxHeapFreeRatio=30 ";
    assertTrue(started.contains(options), started);
    assertTrue(started.endsWith(" serve"), started);
    String windows = Files.readString(SOURCE.resolveSibling("takewright.cmd"));
    assertTrue(windows.contains(options.strip()), windows);
  }

  /**
   * Its first build is waited for as any other is; but all of it may be compiled for full speed.
   */
  @Test
  void aServiceIsCompiledSoon() throws Exception {
    program(home.resolve("runtime/bin/java"), JAVA);
    String started = run(home.resolve("bin/takewright"), null, "serve").lines().get(0);
    String options = "-XX:MaxHeapFreeRatio=30 -XX:InlineSmallCode=600 -XX:FreqInlineSize=100";
    assertTrue(started.contains(options + " "), started);
    String windows = Files.readString(SOURCE.resolveSibling("takewright.cmd"));
    assertTrue(windows.contains(options + "\""), windows);
    String sources = Files.readString(Path.of("..", "takewright"));
    assertTrue(sources.replaceAll("\\s+", " ").contains(options + ")"), sources);
  }

  /**
   * Java would say on standard output that it cannot have them: so they are asked for where they
   * are.
   */
  @Test
  void aServiceGetsLargePagesWhereTheSystemHasThem() throws Exception {
    Path system = Path.of("/sys/kernel/mm/transparent_hugepage/enabled");
    String enabled = Files.isReadable(system) ? Files.readString(system) : "[never]";
    program(home.resolve("runtime/bin/java"), JAVA);
    Path launcher = home.resolve("bin/takewright");
    String largePages = "-XX:+UseTransparentHugePages";
    String started = run(launcher, null, "serve").lines().get(0);
    assertEquals(!enabled.contains("[never]"), started.contains(largePages), started);
    String command = run(launcher, null, "build").lines().get(0);
    assertFalse(command.contains(largePages), command);
    assertTrue(Files.readString(Path.of("..", "takewright")).contains(largePages));
  }

  @Test
  void withoutOneTheUsersJavaIsTakenIfItIsNewEnough() throws Exception {
    Path java = folder.resolve("jdk");
    program(java.resolve("bin/java"), JAVA);
    Files.writeString(java.resolve("release"), "JAVA_VERSION=\"21.0.2\"\n");
    assertEquals(0, run(home.resolve("bin/takewright"), java, "--help").status());

    Files.writeString(java.resolve("release"), "JAVA_VERSION=\"11.0.9\"\n");
    Run old = run(home.resolve("bin/takewright"), java, "--help");
    assertEquals(2, old.status());
    assertEquals(1, old.lines().size());
    assertTrue(old.lines().get(0).startsWith("takewright: Java 17 or later is needed"));

    Run gone = run(home.resolve("bin/takewright"), folder.resolve("none"), "--help");
    assertEquals(2, gone.status());
    assertTrue(gone.lines().get(0).contains("unset it"), gone::toString);
  }

  @Test
  void whatNeedsTheSourcesSaysSo() throws Exception {
    for (String command : List.of("test", "bench", "dist")) {
      Run run = run(home.resolve("bin/takewright"), null, command);
      assertEquals(2, run.status());
      assertTrue(run.lines().get(0).startsWith("takewright: " + command + " needs"));
    }
  }

  /**
   * The launchers of both kinds start the program in the same way. {@code ./takewright test
   * --windows} runs the one for Windows.
   */
  @Test
  void windowsStartsTheSameProgram() throws IOException {
    String windows = Files.readString(SOURCE.resolveSibling("takewright.cmd"));
    for (String part : List.of("-Xlog:disable", COMMAND, "takewright.jar", "%*")) {
      assertTrue(windows.contains(part), part);
    }
    assertTrue(windows.lines().noneMatch(line -> line.startsWith("rem ") && line.contains("%")));
  }

  @Test
  void theWindowsLauncherIsSafeInAnyFolderAndCodePage() throws IOException {
    String windows = Files.readString(SOURCE.resolveSibling("takewright.cmd"));
    assertTrue(windows.chars().allMatch(c -> c < 128), "read alike under every code page");
    List<String> lines = windows.lines().toList();
    for (String line : lines) {
      Matcher jump = Pattern.compile("goto (\\w+)").matcher(line);
      assertTrue(!jump.find() || lines.contains(":" + jump.group(1)), line);
      // A folder's name may hold spaces, brackets and ampersands.
      String bare = line.replace("^\"", "");
      Matcher folder =
          Pattern.compile("%(TAKEWRIGHT_HOME|TAKEWRIGHT_JAVA|JAVA_HOME[^%]*)%").matcher(bare);
      while (folder.find()) {
        long quotes = bare.substring(0, folder.start()).chars().filter(c -> c == '"').count();
        assertEquals(1, quotes % 2, "not in quotes: " + line);
      }
      assertTrue(
          !line.startsWith("echo takewright: ")
              || line.endsWith(">&2") && lines.get(lines.indexOf(line) + 1).equals("exit /b 2"),
          line);
    }
    assertEquals(
        List.of("set \"TAKEWRIGHT_STATUS=%ERRORLEVEL%\"", "exit /b %TAKEWRIGHT_STATUS%"),
        lines.stream().filter(line -> line.contains("STATUS")).toList(),
        "the program's status is the launcher's");
    // Command interpreters find labels for certain only in files with line ends of their own.
    assertTrue(
        Files.readString(Path.of("..", ".ci", "dist"))
            .contains("sed 's/$/\\r/' server/src/dist/takewright.cmd"));
  }
}
