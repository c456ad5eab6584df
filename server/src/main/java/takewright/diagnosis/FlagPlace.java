package takewright.diagnosis;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * Where in a take a flag's reason is heard.
 *
 * @param flag the flag
 * @param fromS where it begins, in seconds from the start of the take
 * @param toS where it ends, not before it begins
 */
public record FlagPlace(Flag flag, double fromS, double toS) {
  private static final int DECIMALS = 3;

  private static final Pattern TEXT =
      Pattern.compile("([a-z_]+)@(\\d+(?:\\.\\d+)?)-(\\d+(?:\\.\\d+)?)");

  /** Places as one text, with spaces between them: {@code disturbed@62.480-62.610}. */
  public static String text(List<FlagPlace> places) {
    return String.join(" ", places.stream().map(FlagPlace::text).toList());
  }

  private String text() {
    return flag.word() + "@" + seconds(fromS) + "-" + seconds(toS);
  }

  private static String seconds(double value) {
    return BigDecimal.valueOf(value).setScale(DECIMALS, RoundingMode.HALF_EVEN).toPlainString();
  }

  /**
   * Reads what {@link #text(List)} wrote.
   *
   * @throws IllegalArgumentException if a word is no place; the message names it
   */
  public static List<FlagPlace> parse(String text) {
    List<FlagPlace> places = new ArrayList<>();
    for (String word : text.split(" ")) {
      if (!word.isEmpty()) {
        places.add(place(word));
      }
    }
    return List.copyOf(places);
  }

  private static FlagPlace place(String word) {
    Matcher matcher = TEXT.matcher(word);
    Flag flag = matcher.matches() ? Flag.of(matcher.group(1)).orElse(null) : null;
    if (flag == null) {
      throw new IllegalArgumentException("\"" + word + "\" is no place of a flag");
    }
    return new FlagPlace(
        flag, Double.parseDouble(matcher.group(2)), Double.parseDouble(matcher.group(3)));
  }
}
