package takewright.examples;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;

/**
 * Java machines with the program's jar. Each maps the archive of classes that the launcher makes: a
 * start costs 0.6 s of processor time instead of 1.5.
 */
final class JavaMachine {
  /** First on the class path of each: of another class path Java would not take the archive. */
  static final Path JAR = Path.of(System.getProperty("takewright.jar")).normalize();

  private static boolean isArchived;

  private JavaMachine() {}

  /** The command of one, without its words: those of Java and those of the program. */
  static synchronized List<String> command() throws Exception {
    if (!isArchived) {
      // Makes the archive before it looks at its words; with a server's it costs the least.
      Language.ran(List.of(Language.LAUNCHER.toString(), "--version", "--server=none"));
      isArchived = true;
    }
    return new ArrayList<>(
        List.of(
            Path.of(System.getProperty("java.home"), "bin", "java").toString(),
            "-Xlog:disable", // it would say on standard output that the archive does not fit
            "-XX:SharedArchiveFile=" + JAR.resolveSibling("takewright.jsa"),
            "-XX:TieredStopAtLevel=1", // most end before a second compiler pays
            "-XX:+UseSerialGC",
            "-Xmx512m"));
  }
}
