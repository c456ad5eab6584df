package takewright.cli;

import java.util.List;
import java.util.Locale;

/** Small pieces of what the commands say. */
final class Texts {
  private Texts() {}

  /** Flags behind a line, or nothing. */
  static String flags(List<String> flags) {
    return flags.isEmpty() ? "" : " (" + String.join(", ", flags) + ")";
  }

  /** A number of things. */
  static String count(int number, String one, String many) {
    return number + " " + (number == 1 ? one : many);
  }

  /** A length as a person says it. */
  static String duration(double seconds) {
    long whole = Math.round(seconds);
    return whole < 60
        ? String.format(Locale.ROOT, "%.1f s", seconds)
        : String.format(Locale.ROOT, "%d min %02d s", whole / 60, whole % 60);
  }
}
