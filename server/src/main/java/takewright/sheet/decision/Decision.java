package takewright.sheet.decision;

import java.util.Locale;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import takewright.diagnosis.SettingException;

/**
 * A person's word on a region of a take: it is a sample whatever it sounds like, or it is none.
 *
 * @param keep whether it is one
 * @param text the time as the sheet writes it
 * @param line where the sheet says so, from 1
 * @param fromS time in the take, in seconds
 * @param toS the end of a range, in seconds; {@code fromS} where it is a single time
 */
public record Decision(boolean keep, String text, int line, double fromS, double toS) {
  private static final Pattern SPAN = Pattern.compile("(?<from>[^-]+?)(\\s*-\\s*(?<to>[^-]+))?");

  /**
   * Reads a time or a range of times.
   *
   * @throws IllegalArgumentException if it is none; the message says what one looks like
   */
  public static Decision of(boolean keep, String text, int line) {
    Matcher span = SPAN.matcher(text);
    if (!span.matches()) {
      throw notATime(text);
    }
    double from = seconds(span.group("from"), text);
    double to = span.group("to") == null ? from : seconds(span.group("to"), text);
    if (to < from || to == from && span.group("to") != null) {
      throw new SettingException(
          "", "holds the range " + text + ", which ends before it begins", "correct its times");
    }
    return new Decision(keep, text, line, from, to);
  }

  private static double seconds(String time, String text) {
    try {
      return TakeTime.seconds(time);
    } catch (SettingException e) {
      throw notATime(text);
    }
  }

  private static IllegalArgumentException notATime(String text) {
    return new SettingException(
        "",
        "holds \"" + text + "\", which is not a time in the take",
        "write seconds (12.5), minutes and seconds (1:02.5) or a range (12.0-15.5)");
  }

  /** The key of the sheet under which it stands. */
  public String key() {
    return keep ? "keep" : "drop";
  }

  /** Whether two decisions are about the same time. */
  public boolean overlaps(Decision other) {
    return fromS <= other.toS && other.fromS <= toS;
  }

  /**
   * Whether it is about a stretch of the take: a time lies in it, or a range and it share more than
   * half of either.
   */
  public boolean hits(double startS, double endS) {
    if (fromS == toS) {
      return fromS >= startS && fromS < endS;
    }
    double shared = Math.min(endS, toS) - Math.max(startS, fromS);
    return shared > 0.5 * Math.min(toS - fromS, endS - startS);
  }

  /** How far a stretch of the take is from it, in seconds; 0 if they touch. */
  public double distance(double startS, double endS) {
    return Math.max(0, Math.max(startS - toS, fromS - endS));
  }

  @Override
  public String toString() {
    return String.format(Locale.ROOT, "%s %s", key(), text);
  }
}
