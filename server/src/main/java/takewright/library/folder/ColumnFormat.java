package takewright.library.folder;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import java.util.function.Function;
import takewright.diagnosis.Flag;
import takewright.diagnosis.FlagPlace;
import takewright.diagnosis.Flags;

/**
 * How the values of a column are written and read.
 *
 * @param says what a value is, for whoever wrote another
 * @param write the text of a value; an empty one where there is nothing to write
 * @param read the value of a text that is not empty; throws an IllegalArgumentException for any
 *     other text
 */
record ColumnFormat<T>(String says, Function<T, String> write, Function<String, T> read) {
  static final ColumnFormat<String> TEXT = new ColumnFormat<>("text", text -> text, text -> text);

  /** Frames, which no file has too many of for 64 bits. */
  static final ColumnFormat<Long> FRAME =
      new ColumnFormat<>("a frame", String::valueOf, Long::valueOf);

  static final ColumnFormat<Integer> COUNT =
      new ColumnFormat<>("a whole number", String::valueOf, Integer::valueOf);

  static final ColumnFormat<Set<Flag>> FLAGS =
      new ColumnFormat<>("a list of flags", Flags::text, Flags::parse);

  static final ColumnFormat<List<FlagPlace>> PLACES =
      new ColumnFormat<>("a list of places of flags", FlagPlace::text, FlagPlace::parse);

  /** Keys and velocities. */
  static ColumnFormat<Integer> midi(int min) {
    return new ColumnFormat<>(
        "a whole number from " + min + " to 127",
        String::valueOf,
        text -> {
          int value = Integer.parseInt(text);
          if (value < min || value > 127) {
            throw new IllegalArgumentException("out of range");
          }
          return value;
        });
  }

  /** A number with a point and a fixed number of decimals; "-inf" for the level of silence. */
  static ColumnFormat<Double> decimal(int places) {
    return new ColumnFormat<>("a number", value -> write(value, places), ColumnFormat::readDecimal);
  }

  private static String write(double value, int places) {
    if (Double.isNaN(value)) {
      return "";
    }
    if (Double.isInfinite(value)) {
      return value > 0 ? "inf" : "-inf";
    }
    return BigDecimal.valueOf(value).setScale(places, RoundingMode.HALF_EVEN).toPlainString();
  }

  private static double readDecimal(String text) {
    return switch (text) {
      case "inf" -> Double.POSITIVE_INFINITY;
      case "-inf" -> Double.NEGATIVE_INFINITY;
      default -> new BigDecimal(text).doubleValue();
    };
  }

  /** One of the words of an enum, which are its names in lower case. */
  static <E extends Enum<E>> ColumnFormat<E> word(Class<E> words) {
    return new ColumnFormat<>(
        "one of its values",
        value -> value.name().toLowerCase(Locale.ROOT),
        text -> Enum.valueOf(words, text.toUpperCase(Locale.ROOT)));
  }
}
