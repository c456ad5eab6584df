package takewright.name;

import java.util.regex.Pattern;

/** Keeps errors on one line although they quote any input. */
final class OneLine {
  private static final Pattern UNPRINTABLE =
      Pattern.compile("[\\p{Cc}\\u2028\\u2029]", Pattern.UNICODE_CHARACTER_CLASS);

  private OneLine() {}

  /** The text with the Unicode replacement character for each non-printing one. */
  static String of(String text) {
    return UNPRINTABLE.matcher(text).replaceAll("\uFFFD");
  }
}
