package takewright.mutations;

import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.dataformat.yaml.YAMLFactory;
import java.io.File;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.concurrent.Callable;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import javax.tools.JavaCompiler;
import javax.tools.ToolProvider;
import picocli.CommandLine;
import takewright.mutations.Mutation.Edit;
import takewright.mutations.Mutation.StaleException;

/**
 * Plants the faults of {@code src/test/mutations/mutations.yaml}, one at a time, and says which of
 * them the tests notice. {@code ./takewright test --mutations} runs it.
 *
 * <p>Nothing of the working tree changes: the edited file is compiled into a temporary folder that
 * stands before the other classes on the class path of a process of its own, which runs the test
 * classes that the list names and ends at the first failure. A fault costs some ten seconds of
 * processor time.
 *
 * <p>PIT was weighed against it. With its default operators PIT 1.30.2 finds 20,476 mutants in the
 * 503 classes of the program; at ten seconds each, and minutes where a library has to be built and
 * heard before a test can tell, that is more than two days a run. Its operators change one
 * instruction, too, while the faults that passed unnoticed here were a key that does nothing, a
 * unit, a flush left out. So the list is ours: fewer faults, each one that a user would meet.
 */
@CommandLine.Command(
    name = "--mutations",
    sortOptions = false,
    description = "Plants known faults one by one and says which of them the tests notice.")
public final class MutationRun implements Callable<Integer> {
  private static final Path LIST = Path.of("src/test/mutations/mutations.yaml");
  private static final Path MAIN = Path.of("src/main");
  private static final Path TESTS = Path.of("src/test/java");

  /** So many faults may survive, each for a reason that the list gives. */
  static final int MAX_ACCEPTED = 4;

  @CommandLine.Option(
      names = "--only",
      split = ",",
      paramLabel = "ID",
      description = "Only these faults, or those of these rooms.")
  private List<String> only = List.of();

  @CommandLine.Option(
      names = "--check",
      description = "Only say whether every edit still fits the sources and compiles.")
  private boolean isCheck;

  @CommandLine.Option(
      names = "--all-tests",
      description = "Hold what the named tests let pass against every test class, fastest first.")
  private boolean isAllTests;

  @CommandLine.Option(
      names = "--no-baseline",
      description = "Do not first see whether the tests pass without a fault.")
  private boolean isWithoutBaseline;

  @CommandLine.Option(names = "--report", paramLabel = "FILE", description = "A table in Markdown.")
  private Path report;

  @CommandLine.Option(names = "--help", usageHelp = true, description = "This text.")
  private boolean help;

  /** What became of a fault: by is the test that noticed, or null. */
  private record Outcome(Mutation mutation, String by, double seconds) {
    String verdict() {
      return by != null ? "killed" : mutation.survives() != null ? "accepted" : "survived";
    }
  }

  private final Map<String, Long> tookMs = new TreeMap<>();
  private final Set<String> red = new HashSet<>();
  private Path scratch;

  public static void main(String[] args) {
    System.exit(new CommandLine(new MutationRun()).execute(args));
  }

  @Override
  public Integer call() throws Exception {
    scratch = Files.createTempDirectory("takewright-mutations");
    try {
      return run();
    } finally {
      delete(scratch);
    }
  }

  private int run() throws Exception {
    List<Mutation> mutations = read();
    List<String> stale = stale(mutations);
    stale.forEach(line -> System.out.println("stale  " + line));
    if (isCheck || !stale.isEmpty()) {
      System.out.printf("%d faults, %d of them stale.%n", mutations.size(), stale.size());
      if (isCheck) {
        return stale.isEmpty() ? 0 : 1;
      }
    }
    baseline(mutations);
    List<Outcome> outcomes = new ArrayList<>();
    for (Mutation mutation : mutations) {
      if (stale.stream().noneMatch(line -> line.startsWith(mutation.id() + ":"))) {
        Outcome outcome = outcome(mutation);
        outcomes.add(outcome);
        System.out.printf(
            "%-8s %s (%s, %.0f s)%s%n",
            outcome.verdict(),
            mutation.id(),
            mutation.room(),
            outcome.seconds,
            outcome.by == null ? "" : ": " + outcome.by);
        if (report != null) {
          Files.writeString(report, table(outcomes));
        }
      }
    }
    return summary(outcomes, stale.size());
  }

  private List<Mutation> read() throws IOException {
    return all().stream()
        .filter(m -> only.isEmpty() || only.contains(m.id()) || only.contains(m.room()))
        .toList();
  }

  /** Every fault of the list. */
  static List<Mutation> all() throws IOException {
    List<Mutation> all =
        new ObjectMapper(new YAMLFactory())
            .readerForListOf(Mutation.class)
            .readValue(Files.readString(LIST));
    Set<String> ids = new HashSet<>();
    for (Mutation mutation : all) {
      if (!ids.add(mutation.id())) {
        throw new IOException(LIST + ": two faults are called " + mutation.id());
      }
    }
    return all;
  }

  /** What no longer fits the sources, a line each that begins with the fault's id. */
  private List<String> stale(List<Mutation> mutations) throws IOException {
    List<String> lines = new ArrayList<>();
    for (Mutation mutation : mutations) {
      try {
        Edit edit = fitted(mutation);
        if (isCheck) {
          compile(mutation, edit);
        }
      } catch (StaleException e) {
        lines.add(e.getMessage());
      }
    }
    return lines;
  }

  /** The edit, where it fits the sources and the tests that are to notice it are there. */
  static Edit fitted(Mutation mutation) throws IOException, StaleException {
    mutation.tests(TESTS);
    return mutation.edit(MAIN);
  }

  /** A test that is red without a fault can witness nothing. */
  private void baseline(List<Mutation> mutations) throws Exception {
    if (isWithoutBaseline) {
      return;
    }
    Set<String> classes = new LinkedHashSet<>();
    for (Mutation mutation : mutations) {
      try {
        classes.addAll(mutation.tests(TESTS));
      } catch (StaleException e) {
        continue; // said before
      }
    }
    if (isAllTests) {
      classes.addAll(everyTest());
    }
    System.out.println("Without a fault: " + classes.size() + " test classes ...");
    Ran ran = tests(null, List.copyOf(classes), true, TimeUnit.HOURS.toMillis(1));
    for (String line : ran.lines) {
      if (line.startsWith(TestsUntilFailure.TOOK)) {
        String[] words = line.substring(TestsUntilFailure.TOOK.length()).split(" ");
        tookMs.put(words[0], Long.parseLong(words[1]));
        if (!Boolean.parseBoolean(words[2])) {
          red.add(words[0]);
        }
      } else if (line.startsWith(TestsUntilFailure.FAILED)) {
        System.out.println("red without a fault: " + line.substring(8));
      }
    }
    for (String name : classes) {
      if (!tookMs.containsKey(name)) {
        throw new IOException("the tests ended early without a fault: " + ran.lines);
      }
    }
  }

  private static List<String> everyTest() throws IOException {
    try (Stream<Path> files = Files.walk(TESTS)) {
      return files
          .filter(file -> file.getFileName().toString().endsWith("Test.java"))
          .map(file -> Mutation.className(TESTS, file))
          .toList();
    }
  }

  private Outcome outcome(Mutation mutation) throws Exception {
    long start = System.nanoTime();
    Path classes = compile(mutation, mutation.edit(MAIN));
    String by = noticed(classes, mutation.tests(TESTS));
    if (by == null && isAllTests) {
      List<String> others = new ArrayList<>(everyTest());
      others.removeAll(mutation.tests(TESTS));
      by = noticed(classes, others);
    }
    delete(classes);
    return new Outcome(mutation, by, (System.nanoTime() - start) / 1e9);
  }

  private String noticed(Path classes, List<String> tests) throws Exception {
    List<String> green =
        tests.stream()
            .filter(name -> !red.contains(name))
            .sorted(Comparator.comparing(name -> tookMs.getOrDefault(name, 0L)))
            .toList();
    // The machine may be busy, and a fault may well make a test slow.
    long ms = 120_000 + 6 * green.stream().mapToLong(n -> tookMs.getOrDefault(n, 60_000L)).sum();
    Ran ran = tests(classes, green, false, ms);
    if (ran.status == TestsUntilFailure.SUCCESS) {
      return null;
    }
    return ran.lines.stream()
        .filter(line -> line.startsWith(TestsUntilFailure.FAILED))
        .map(line -> line.substring(TestsUntilFailure.FAILED.length()))
        .map(line -> line.substring(0, Math.min(line.length(), 140)))
        .findFirst()
        .orElse(ran.isLate ? "no end within " + ms / 1000 + " s" : "status " + ran.status);
  }

  /**
   * Compiles the edited file, or all of them where the compiler copies the constant about. A file
   * that is no source, such as a script of the page, is laid where it is found first.
   */
  private Path compile(Mutation mutation, Edit edit) throws IOException, StaleException {
    Path folder = Files.createTempDirectory(scratch, mutation.id());
    Path classes = Files.createDirectory(folder.resolve("classes"));
    if (!edit.source().toString().endsWith(".java")) {
      Path copy = classes.resolve(MAIN.resolve("resources").relativize(edit.source()));
      Files.createDirectories(copy.getParent());
      Files.writeString(copy, edit.text());
      return classes;
    }
    Path edited = folder.resolve(edit.source().getFileName());
    Files.writeString(edited, edit.text());
    List<String> words =
        new ArrayList<>(List.of("-proc:none", "-nowarn", "-parameters", "-g", "--release", "17"));
    words.addAll(List.of("-cp", System.getProperty("java.class.path"), "-d", classes.toString()));
    words.add(edited.toString());
    if (edit.isInlined()) {
      try (Stream<Path> files = Files.walk(MAIN)) {
        files
            .filter(file -> file.toString().endsWith(".java") && !file.equals(edit.source()))
            .forEach(file -> words.add(file.toString()));
      }
    }
    JavaCompiler compiler = ToolProvider.getSystemJavaCompiler();
    var said = new java.io.ByteArrayOutputStream();
    if (compiler.run(null, said, said, words.toArray(String[]::new)) != 0) {
      throw new StaleException(
          mutation.id()
              + ": does not compile: "
              + said.toString(StandardCharsets.UTF_8).lines().findFirst().orElse(""));
    }
    return classes;
  }

  /** What a process of tests left. */
  private record Ran(int status, boolean isLate, List<String> lines) {}

  private Ran tests(Path classes, List<String> tests, boolean goesOn, long mostMs)
      throws IOException, InterruptedException {
    Path temporary = Files.createTempDirectory(scratch, "tests");
    Path log = scratch.resolve("log");
    List<String> words =
        new ArrayList<>(
            List.of(
                Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                "-Xmx1g",
                // For a few seconds of work the second compiler costs more than it saves.
                "-XX:TieredStopAtLevel=1",
                "-XX:+UseSerialGC",
                "-Djava.awt.headless=true",
                "--add-exports=java.desktop/com.sun.media.sound=ALL-UNNAMED",
                "-Djava.io.tmpdir=" + temporary,
                "-Dtakewright.goesOn=" + goesOn,
                "-cp",
                (classes == null ? "" : classes + File.pathSeparator)
                    + System.getProperty("java.class.path"),
                TestsUntilFailure.class.getName()));
    words.addAll(tests);
    Process process =
        new ProcessBuilder(words)
            .redirectErrorStream(true)
            .redirectOutput(log.toFile())
            .redirectInput(new File("/dev/null"))
            .start();
    Thread atExit = new Thread(() -> end(process));
    Runtime.getRuntime().addShutdownHook(atExit);
    try {
      boolean isLate = !process.waitFor(mostMs, TimeUnit.MILLISECONDS);
      if (isLate) {
        end(process);
      }
      String said = new String(Files.readAllBytes(log), StandardCharsets.UTF_8);
      return new Ran(process.waitFor(), isLate, said.lines().toList());
    } finally {
      Runtime.getRuntime().removeShutdownHook(atExit);
      delete(temporary);
    }
  }

  private static void end(Process process) {
    process.descendants().forEach(ProcessHandle::destroyForcibly);
    process.destroyForcibly();
  }

  private static int summary(List<Outcome> outcomes, int stale) {
    Map<String, List<Outcome>> by = new LinkedHashMap<>();
    for (Outcome outcome : outcomes) {
      by.computeIfAbsent(outcome.verdict(), v -> new ArrayList<>()).add(outcome);
    }
    int accepted = by.getOrDefault("accepted", List.of()).size();
    int survived = by.getOrDefault("survived", List.of()).size();
    System.out.printf(
        "%d faults: %d killed, %d survived, %d accepted; %d stale.%n",
        outcomes.size() + stale,
        by.getOrDefault("killed", List.of()).size(),
        survived,
        accepted,
        stale);
    for (Outcome outcome : by.getOrDefault("survived", List.of())) {
      System.out.println("  survived: " + outcome.mutation.id() + ": " + outcome.mutation.fault());
    }
    for (Outcome outcome : by.getOrDefault("accepted", List.of())) {
      System.out.println(
          "  accepted: " + outcome.mutation.id() + ": " + outcome.mutation.survives());
    }
    if (accepted > MAX_ACCEPTED) {
      System.out.println("At most " + MAX_ACCEPTED + " faults may be accepted.");
    }
    return survived + stale > 0 || accepted > MAX_ACCEPTED ? 1 : 0;
  }

  private static String table(List<Outcome> outcomes) {
    StringBuilder text =
        new StringBuilder("| fault | room | outcome | by |\n| --- | --- | --- | --- |\n");
    for (Outcome outcome : outcomes) {
      text.append("| ").append(outcome.mutation.fault());
      text.append(" (`").append(outcome.mutation.id()).append("`) | ");
      text.append(outcome.mutation.room()).append(" | ").append(outcome.verdict()).append(" | ");
      String by = outcome.by != null ? outcome.by : outcome.mutation.survives();
      text.append(by == null ? "" : by.replace("|", "\\|")).append(" |\n");
    }
    return text.toString();
  }

  private static void delete(Path folder) throws IOException {
    try (Stream<Path> files = Files.walk(folder)) {
      for (Path file : files.sorted(Comparator.reverseOrder()).toList()) {
        Files.deleteIfExists(file);
      }
    }
  }
}
