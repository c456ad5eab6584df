package takewright.name;

import java.util.regex.Pattern;

/** Errors quote what was given, which may hold anything; they stay one line all the same. */
final class OneLine {
  private static final Pattern UNPRINTABLE =
      Pattern.compile("[\\p{Cc}\\u2028\\u2029]", Pattern.UNICODE_CHARACTER_CLASS);

  private OneLine() {}

  /** The text with the Unicode replacement character for each that is not for display. */
  static String of(String text) {
    return UNPRINTABLE.matcher(text).replaceAll("\uFFFD");
  }
}
