package takewright.library.folder;

import java.util.Collection;
import java.util.HashMap;
import java.util.Locale;
import java.util.Map;
import java.util.regex.Pattern;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Reason;

/**
 * File names that every system takes: a library is made on one machine and played on others.
 *
 * <p>The rules are those of Windows (Microsoft, "Naming Files, Paths, and Namespaces") and of file
 * systems that ignore case, which are the strictest.
 */
final class PortableNames {
  /** Device names, with or without an ending. */
  private static final Pattern RESERVED =
      Pattern.compile("(?i)(CON|PRN|AUX|NUL|COM[0-9]|LPT[0-9])(\\..*)?");

  private static final Pattern FORBIDDEN = Pattern.compile("[<>:\"|?*\\\\\\x00-\\x1f]");

  private PortableNames() {}

  /**
   * Checks the files of a folder before the first is written.
   *
   * @param names their names, relative to the folder, parts separated by {@code /}
   * @throws FileProblemException if a system would refuse one of them, or take two for one
   */
  static void check(Collection<String> names) throws FileProblemException {
    Map<String, String> seen = new HashMap<>();
    for (String name : names) {
      for (String part : name.split("/", -1)) {
        check(name, part);
      }
      String other = seen.putIfAbsent(name.toLowerCase(Locale.ROOT), name);
      if (other != null && !other.equals(name)) {
        throw bad(
            name,
            "and " + other + " are one file where case does not count (Windows, macOS)",
            "give one of them another text");
      }
    }
  }

  private static void check(String name, String part) throws FileProblemException {
    if (RESERVED.matcher(part).matches()) {
      throw bad(name, "is a reserved name on Windows", "begin it with another word");
    }
    if (FORBIDDEN.matcher(part).find()) {
      throw bad(name, "holds a character that Windows refuses in names", "leave it out");
    }
    if (part.isEmpty() || part.endsWith(".") || part.endsWith(" ")) {
      throw bad(name, "has a part that is empty or ends in a dot or a space", "leave that out");
    }
  }

  private static FileProblemException bad(String name, String what, String remedy) {
    return new FileProblemException(Reason.INPUT_INVALID, name, what, remedy);
  }
}
