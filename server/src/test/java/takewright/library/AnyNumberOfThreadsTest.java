package takewright.library;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.File;
import java.io.IOException;
import java.lang.management.ManagementFactory;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.demo.Demo;

/** The demo session, built by 1 and 4 threads and twice in a row: the same, byte for byte. */
class AnyNumberOfThreadsTest {
  @TempDir Path folder;

  /** In a process of its own, which is told how many cores it has. */
  public static void main(String[] args) throws IOException {
    for (String target : List.of(args).subList(1, args.length)) {
      Build.run(Path.of(args[0]), Path.of(target), progress -> {}, () -> false);
    }
  }

  private void build(int cores, Path sheet, String... targets) throws Exception {
    List<String> command = new java.util.ArrayList<>();
    command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
    // As these tests run: how much is compiled, and who collects garbage.
    for (String option : ManagementFactory.getRuntimeMXBean().getInputArguments()) {
      if (option.startsWith("-XX:") || option.startsWith("-Xm")) {
        command.add(option);
      }
    }
    command.add("-XX:ActiveProcessorCount=" + cores);
    command.addAll(List.of("-cp", System.getProperty("java.class.path")));
    command.addAll(List.of(AnyNumberOfThreadsTest.class.getName(), sheet.toString()));
    Stream.of(targets).map(t -> folder.resolve(t).toString()).forEach(command::add);
    File log = folder.resolve("log").toFile();
    Process process =
        new ProcessBuilder(command).redirectErrorStream(true).redirectOutput(log).start();
    try {
      assertTrue(process.waitFor(5, TimeUnit.MINUTES), "the build hangs");
    } finally {
      process.destroyForcibly();
    }
    assertEquals(0, process.exitValue(), () -> read(log.toPath()));
  }

  private static String read(Path file) {
    try {
      return Files.readString(file);
    } catch (IOException e) {
      return e.toString();
    }
  }

  /** All that a user finds, by name; the build's own notes begin with a dot. */
  private Map<String, byte[]> contents(String library) throws IOException {
    Path root = folder.resolve(library);
    Map<String, byte[]> all = new TreeMap<>();
    try (Stream<Path> files = Files.walk(root)) {
      for (Path file : files.filter(Files::isRegularFile).toList()) {
        String name = root.relativize(file).toString();
        if (!name.startsWith(".")) {
          all.put(name, Files.readAllBytes(file));
        }
      }
    }
    return all;
  }

  @Test
  void theSameByteForByte() throws Exception {
    Path sheet = Demo.write(folder.resolve("session"));
    build(1, sheet, "one");
    build(4, sheet, "four", "again");
    Map<String, byte[]> one = contents("one");
    assertTrue(one.size() > 10, () -> one.keySet().toString());
    for (String other : List.of("four", "again")) {
      Map<String, byte[]> built = contents(other);
      assertEquals(one.keySet(), built.keySet(), other);
      one.forEach((name, bytes) -> assertArrayEquals(bytes, built.get(name), other + ": " + name));
    }
  }
}
