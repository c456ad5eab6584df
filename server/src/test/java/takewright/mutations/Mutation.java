package takewright.mutations;

import com.fasterxml.jackson.annotation.JsonProperty;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import java.util.stream.Stream;

/**
 * One planted fault: a small edit of one source file that a test ought to notice.
 *
 * @param id short and unique, in words joined by hyphens
 * @param room the package the fault belongs to, as the design names it
 * @param fault what a user would notice
 * @param file the end of the source file's path, its name as a rule; it must fit one file alone
 * @param find the text to replace; a space in it matches any white space, so that a line may be
 *     broken again; it must occur exactly once
 * @param put what stands there instead
 * @param caughtBy simple names of the test classes that are expected to fail
 * @param survives why no test can be expected to notice it; null if one must
 */
record Mutation(
    String id,
    String room,
    String fault,
    String file,
    String find,
    String put,
    @JsonProperty("caught_by") List<String> caughtBy,
    String survives) {

  /** A source file as the fault leaves it. */
  record Edit(Path source, String text, boolean isInlined) {}

  /** Where the list and the sources no longer fit together. */
  static final class StaleException extends Exception {
    private static final long serialVersionUID = 1;

    StaleException(String message) {
      super(message);
    }
  }

  /**
   * Plants the fault, in memory.
   *
   * @param sources the folder of the main sources
   */
  Edit edit(Path sources) throws IOException, StaleException {
    List<Path> named = filesNamed(sources, file);
    if (named.size() != 1) {
      throw new StaleException(
          id
              + ": "
              + file
              + " must be one file below "
              + sources
              + ", but "
              + named
              + " are there");
    }
    String text = Files.readString(named.get(0));
    Matcher matcher = pattern().matcher(text);
    if (!matcher.find()) {
      throw new StaleException(id + ": " + file + " no longer contains: " + find.strip());
    }
    int start = matcher.start();
    int end = matcher.end();
    if (matcher.find()) {
      throw new StaleException(id + ": " + file + " contains more than once: " + find.strip());
    }
    String lines = text.substring(text.lastIndexOf('\n', start) + 1, end);
    // The compiler copies constants into the classes that use them.
    boolean isInlined = lines.contains("static final") && !lines.contains("private");
    return new Edit(
        named.get(0), text.substring(0, start) + put.strip() + text.substring(end), isInlined);
  }

  private Pattern pattern() {
    return Pattern.compile(
        Arrays.stream(find.strip().split("\\s+"))
            .map(Pattern::quote)
            .collect(Collectors.joining("\\s+")));
  }

  /** The full names of the test classes that are expected to notice. */
  List<String> tests(Path testSources) throws IOException, StaleException {
    List<String> names = new java.util.ArrayList<>();
    for (String test : caughtBy) {
      List<Path> named = filesNamed(testSources, test + ".java");
      if (named.size() != 1) {
        throw new StaleException(id + ": no single test class is called " + test + ": " + named);
      }
      names.add(className(testSources, named.get(0)));
    }
    return names;
  }

  /** The name of the class that a source file holds. */
  static String className(Path sources, Path file) {
    String path = sources.relativize(file).toString();
    return path.substring(0, path.length() - ".java".length()).replace(java.io.File.separator, ".");
  }

  private static List<Path> filesNamed(Path folder, String name) throws IOException {
    try (Stream<Path> files = Files.walk(folder)) {
      return files.filter(file -> file.endsWith(name)).toList();
    }
  }
}
