package takewright.name;

import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import takewright.diagnosis.SettingException;

/**
 * The parts of a pattern in their order, known to be readable in one way only: between two fields
 * stands a literal; where one of the two is a text, the literal holds a separator that no text ever
 * holds; no digit touches a field that is, or ends in, digits.
 */
final class Layout {
  /**
   * A literal, or a field with a minimum width.
   *
   * @param field null for a literal
   */
  record PatternPart(String literal, NameField field, int width) {
    static PatternPart literal(String text) {
      return new PatternPart(text, null, 0);
    }

    static PatternPart field(NameField field, int width) {
      return new PatternPart(null, field, width);
    }

    @Override
    public String toString() {
      return field == null ? literal : "{" + field.word() + "}";
    }
  }

  private final List<PatternPart> parts;
  private final Pattern reading;

  /**
   * @throws IllegalArgumentException if a name could be read in two ways, or would not be a good
   *     file name
   */
  Layout(List<PatternPart> parts, TextRule textRule) {
    this.parts = List.copyOf(parts);
    validate();
    StringBuilder regex = new StringBuilder();
    for (PatternPart part : parts) {
      if (part.field == null) {
        regex.append(Pattern.quote(part.literal));
      } else if (part.field == NameField.NOTE) {
        regex.append("(?<note>[A-Ga-g][#sbxSBX]{0,2}-?[0-9]{1,2})");
      } else if (part.field.isNumber()) {
        regex.append("(?<" + part.field.word() + ">[0-9]{1,6})");
      } else {
        regex.append("(?<" + part.field.word() + ">" + textRule.characterClass() + "+)");
      }
    }
    this.reading = Pattern.compile(regex.toString());
  }

  private void validate() {
    if (parts.stream().noneMatch(part -> part.field != null)) {
      throw new SettingException(
          NamePattern.PATTERN, "holds no field", "put in {note}, for instance");
    }
    for (int i = 0; i < parts.size(); i++) {
      PatternPart part = parts.get(i);
      PatternPart next = i + 1 < parts.size() ? parts.get(i + 1) : null;
      if (part.field != null && next != null && next.field != null) {
        throw new SettingException(
            NamePattern.PATTERN,
            "holds " + part + next + ", which could not be told apart",
            "put a separator such as _ between them");
      }
      if (part.field == null) {
        validateLiteral(part.literal, i > 0 ? parts.get(i - 1) : null, next);
      }
    }
  }

  private static void validateLiteral(String literal, PatternPart before, PatternPart after) {
    if (before == null && (literal.startsWith(".") || literal.startsWith("-"))) {
      throw new SettingException(
          NamePattern.PATTERN,
          "begins with \"" + literal.charAt(0) + "\"",
          "begin with a letter or a field");
    }
    if (after == null && literal.endsWith(".")) {
      throw new SettingException(NamePattern.PATTERN, "ends with \".\"", "leave it out");
    }
    if (before != null && !before.field.isText() && isDigit(literal.charAt(0))) {
      throw new SettingException(
          NamePattern.PATTERN,
          "holds " + before + literal + ", which could not be told apart",
          "put a letter or _ after " + before);
    }
    if (after != null && after.field.isNumber() && isDigit(literal.charAt(literal.length() - 1))) {
      throw new SettingException(
          NamePattern.PATTERN,
          "holds " + literal + after + ", which could not be told apart",
          "put a letter or _ before " + after);
    }
    boolean touchesText =
        before != null && after != null && (before.field.isText() || after.field.isText());
    if (touchesText && literal.chars().noneMatch(c -> TextRule.isSeparator((char) c))) {
      throw new SettingException(
          NamePattern.PATTERN,
          "holds " + before + literal + after + ", which could not be told apart",
          "put a separator such as _ between them");
    }
  }

  private static boolean isDigit(char c) {
    return c >= '0' && c <= '9';
  }

  List<PatternPart> parts() {
    return parts;
  }

  /** The values of a name by field; null if the name does not fit. */
  Map<NameField, String> read(String name) {
    Matcher matcher = reading.matcher(name);
    if (!matcher.matches()) {
      return null;
    }
    Map<NameField, String> values = new EnumMap<>(NameField.class);
    for (PatternPart part : parts) {
      if (part.field != null) {
        values.put(part.field, matcher.group(part.field.word()));
      }
    }
    return values;
  }

  /** The name of these values. */
  String write(Map<NameField, String> values) {
    StringBuilder name = new StringBuilder();
    for (PatternPart part : parts) {
      if (part.field == null) {
        name.append(part.literal);
      } else {
        String value = values.get(part.field);
        name.append("0".repeat(Math.max(0, part.width - value.length()))).append(value);
      }
    }
    return name.toString();
  }
}
