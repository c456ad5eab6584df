package takewright.cli.show;

import java.util.List;
import java.util.Locale;
import java.util.stream.Collectors;
import takewright.diagnosis.Flag;

/** Small pieces of text for the commands. */
public final class Texts {
  private Texts() {}

  /** What follows the prefix of an enum's constant in the contract, as tables write it. */
  public static String word(Enum<?> constant, String prefix) {
    return constant.name().replaceFirst("^" + prefix, "").toLowerCase(Locale.ROOT);
  }

  /** The words of flags, as tables write them. */
  public static List<String> words(List<takewright.v1.Flag> flags) {
    return flags.stream().map(flag -> word(flag, "FLAG_")).toList();
  }

  /** What flags mean, in a few words each; of one that is not known here, its own. */
  static List<String> meanings(List<takewright.v1.Flag> flags) {
    return words(flags).stream()
        .map(word -> Flag.of(word).map(Flag::meaning).orElse(word.replace('_', ' ')))
        .toList();
  }

  /** Each flag on a line of its own: what it means and what to do; nothing where there is none. */
  public static String explained(List<takewright.v1.Flag> flags) {
    return words(flags).stream()
        .map(word -> Flag.of(word).map(Texts::explained).orElse("\n  " + word))
        .collect(Collectors.joining());
  }

  private static String explained(Flag flag) {
    return "\n  " + flag.word() + ": " + flag.meaning() + "; " + flag.remedy();
  }

  /** A number with the singular or plural of a noun. */
  public static String count(int number, String one, String many) {
    return number + " " + (number == 1 ? one : many);
  }

  /** A shift or deviation in cents, with its sign; none of what rounds to nothing. */
  public static String cents(double cents) {
    String text = String.format(Locale.ROOT, "%+.1f cents", cents);
    return text.replaceFirst("^[+-]0\\.0 ", "0.0 ");
  }

  /** A duration for a person to read. */
  public static String duration(double seconds) {
    long whole = Math.round(seconds);
    return whole < 60
        ? String.format(Locale.ROOT, "%.1f s", seconds)
        : String.format(Locale.ROOT, "%d min %02d s", whole / 60, whole % 60);
  }
}
