package takewright.diagnosis;

import java.math.BigDecimal;
import java.util.function.UnaryOperator;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * Why something cannot be done, and what to do about it. It is made where the fault is found; the
 * line that a person reads, the details that a program reads and the exit status are all rendered
 * from it.
 *
 * <p>The line reads "FIELD WHAT; REMEDY", or "FILE:LINE: KEY WHAT; REMEDY".
 *
 * @param reason what kind of problem it is
 * @param field the setting that is at fault, as the contract spells it; empty if it is none
 * @param place where in a file it is; null if it is in none
 * @param what what is wrong: a predicate whose subject is the field or the key, else a sentence;
 *     without a full stop. Names of settings stand in backquotes.
 * @param remedy what to do about it, in the imperative, without a full stop
 */
public record Problem(Reason reason, String field, Place place, String what, String remedy) {
  private static final Pattern BREAKS = Pattern.compile("\\s*[\\r\\n]+\\s*");
  private static final Pattern UNPRINTABLE =
      Pattern.compile("[\\p{Cc}\\u2028\\u2029]", Pattern.UNICODE_CHARACTER_CLASS);
  private static final Pattern QUOTED = Pattern.compile("`([^`]*)`");

  public Problem {
    what = oneLine(what);
    remedy = oneLine(remedy);
    if (what.isEmpty() || remedy.isEmpty()) {
      throw new IllegalArgumentException("a problem needs to say what is wrong and what to do");
    }
  }

  /** A problem with a setting, or with none where the field is empty. */
  public Problem(Reason reason, String field, String what, String remedy) {
    this(reason, field, null, what, remedy);
  }

  /** A setting that cannot be worked with. */
  public static Problem invalid(String field, String what, String remedy) {
    return new Problem(Reason.INPUT_INVALID, field, what, remedy);
  }

  /**
   * A number that is out of range.
   *
   * @param unit of the number, such as "Hz"; may be empty
   */
  public static Problem outOfRange(
      String field, double value, double min, double max, String unit) {
    return invalid(field, "is " + number(value) + ", which is out of range", give(min, max, unit));
  }

  /** What to do about a number that is out of range or none at all. */
  public static String give(double min, double max, String unit) {
    return give("a number", min, max, unit);
  }

  /**
   * The same of a certain kind of number.
   *
   * @param wanted such as "a whole number"
   */
  public static String give(String wanted, double min, double max, String unit) {
    String range = number(min) + " to " + number(max);
    return "give " + wanted + " from " + (unit.isEmpty() ? range : range + " " + unit);
  }

  /** A number as short as it can be written. */
  private static String number(double value) {
    return Double.isFinite(value)
        ? BigDecimal.valueOf(value).stripTrailingZeros().toPlainString()
        : Double.toString(value);
  }

  /** The same, found in what another setting stands for or leads to. */
  public Problem of(String otherField) {
    return new Problem(reason, otherField, place, what, remedy);
  }

  /** The same without the place. */
  public Problem elsewhere() {
    return place == null ? this : new Problem(reason, place.key(), what, remedy);
  }

  /** The same, of a setting that lies within another. */
  public Problem within(String path) {
    return of(field.isEmpty() ? path : path + "." + field);
  }

  /** The same, found in a file, of which the field is a key. */
  public Problem at(String file, int line) {
    return new Problem(reason, "", new Place(file, line, field), what, remedy);
  }

  /** The line that a person reads, with the names of the contract. */
  public String text() {
    String subject = field.isEmpty() ? "" : "`" + field + "`";
    return sentence(subject, place == null ? "" : where(), what + "; " + remedy);
  }

  /**
   * The line that a person reads who knows settings by other names. A file says more than the
   * setting that named it, which is left out then.
   *
   * @param names what a setting is called there
   */
  public String text(UnaryOperator<String> names) {
    boolean inFile = place != null && !place.file().isEmpty();
    String subject = field.isEmpty() || inFile ? "" : names.apply(field);
    String body =
        QUOTED
            .matcher(what + "; " + remedy)
            .replaceAll(quoted -> Matcher.quoteReplacement(renamed(quoted.group(1), names)));
    return sentence(subject, place == null ? "" : where(), body);
  }

  /** Such as "sheet.yaml:12: `tuning_hz`". */
  private String where() {
    String file = place.file().isEmpty() ? "" : place.text() + ":";
    String key = place.key().isEmpty() ? "" : "`" + place.key() + "`";
    return file.isEmpty() || key.isEmpty() ? file + key : file + " " + key;
  }

  private static String sentence(String subject, String where, String body) {
    String colon = subject.isEmpty() || where.isEmpty() ? "" : ": ";
    String start = subject + colon + where;
    return start.isEmpty() ? body : oneLine(start) + " " + body;
  }

  /** Backquotes stay where a name has no other. */
  private static String renamed(String name, UnaryOperator<String> names) {
    String own = names.apply(name);
    return own.equals(name) ? "`" + name + "`" : own;
  }

  /** Text that may hold anything, on one line; what is not for display is replaced. */
  public static String oneLine(String text) {
    String line = BREAKS.matcher(String.valueOf(text).strip()).replaceAll(" ");
    return UNPRINTABLE.matcher(line).replaceAll("\uFFFD");
  }
}
