package takewright.name;

import java.text.Normalizer;
import java.util.regex.Pattern;

/**
 * The characters that texts may hold in names of one pattern: letters A to Z and a to z, digits,
 * and those of "._#+-" that the pattern does not use as separators.
 */
final class TextRule {
  private static final Pattern ACCENTS = Pattern.compile("\\p{M}+");
  private static final String MARKS = "._#+-";

  /** Replacements for other characters, in order of preference. */
  private static final String FILLERS = "-_.+";

  private final String separators;
  private final String filler;

  /**
   * @param literals all literals of the pattern, one after the other
   */
  TextRule(String literals) {
    separators = only(MARKS, literals, true);
    String free = only(FILLERS, separators, false);
    filler = free.isEmpty() ? "" : free.substring(0, 1);
  }

  /** Those characters of {@code text} that are in {@code set}, or are not. */
  private static String only(String text, String set, boolean in) {
    StringBuilder kept = new StringBuilder();
    for (char c : text.toCharArray()) {
      if ((set.indexOf(c) >= 0) == in) {
        kept.append(c);
      }
    }
    return kept.toString();
  }

  static boolean isSeparator(char c) {
    return MARKS.indexOf(c) >= 0;
  }

  static boolean isSafe(char c) {
    return isLetterOrDigit(c) || isSeparator(c);
  }

  private static boolean isLetterOrDigit(char c) {
    return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
  }

  private boolean isAllowed(char c) {
    return isSafe(c) && separators.indexOf(c) < 0;
  }

  /** The regular expression for one character of a text. */
  String characterClass() {
    StringBuilder set = new StringBuilder("[A-Za-z0-9");
    for (char c : only(MARKS, separators, false).toCharArray()) {
      set.append('\\').append(c);
    }
    return set.append(']').toString();
  }

  /** The characters a text may hold, for messages. */
  String allowed() {
    return "A-Z a-z 0-9 " + String.join(" ", only(MARKS, separators, false).split(""));
  }

  /**
   * A text as it stands in names: accents are taken off, every run of characters that may not stand
   * there becomes one filler ("-", or "_" where the pattern separates by "-"), and what is no
   * letter or digit is cut from the start, and but for "#" and "+" from the end. Doing it again
   * changes nothing. May be empty.
   */
  String sanitise(String text) {
    String plain = ACCENTS.matcher(Normalizer.normalize(text, Normalizer.Form.NFKD)).replaceAll("");
    StringBuilder safe = new StringBuilder();
    boolean gap = false;
    for (char c : plain.toCharArray()) {
      if (!isAllowed(c) || filler.indexOf(c) >= 0) {
        gap = true;
        continue;
      }
      if (gap && safe.length() > 0) {
        safe.append(filler);
      }
      gap = false;
      if (safe.length() > 0 || isLetterOrDigit(c)) {
        safe.append(c);
      }
    }
    int end = safe.length();
    while (end > 0
        && !isLetterOrDigit(safe.charAt(end - 1))
        && "#+".indexOf(safe.charAt(end - 1)) < 0) {
      end--;
    }
    return safe.substring(0, end);
  }
}
