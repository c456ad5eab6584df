package takewright.sheet.decision;

import java.util.regex.Matcher;
import java.util.regex.Pattern;
import takewright.diagnosis.SettingException;

/** Times in a take as a person writes them. */
public final class TakeTime {
  /** Seconds, minutes and seconds, or hours, minutes and seconds. */
  private static final Pattern TIME =
      Pattern.compile(
          "((?<hours>\\d{1,2}):(?=\\d{2}:))?((?<minutes>\\d{1,3}):(?=\\d{2}(\\D|$)))?"
              + "(?<seconds>\\d{1,6}(\\.\\d{1,17})?)");

  private TakeTime() {}

  /**
   * The seconds of a time such as {@code 62.5}, {@code 1:02.5} or {@code 1:00:02.5}.
   *
   * @throws SettingException if it is none; it has no field and says what a time looks like
   */
  public static double seconds(String text) {
    Matcher parts = TIME.matcher(text);
    if (!parts.matches()) {
      throw notATime(text);
    }
    double seconds = Double.parseDouble(parts.group("seconds"));
    int minutes = parts.group("minutes") == null ? 0 : Integer.parseInt(parts.group("minutes"));
    int hours = parts.group("hours") == null ? 0 : Integer.parseInt(parts.group("hours"));
    boolean tooMany =
        parts.group("minutes") != null && seconds >= 60
            || parts.group("hours") != null && minutes >= 60;
    if (tooMany) {
      throw notATime(text);
    }
    return 3600.0 * hours + 60 * minutes + seconds;
  }

  private static SettingException notATime(String text) {
    return new SettingException(
        "",
        "holds \"" + text + "\", which is not a time in the take",
        "write seconds (12.5) or minutes and seconds (\"1:02.5\")");
  }
}
