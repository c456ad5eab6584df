package takewright.name;

import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.stream.Collectors;
import takewright.diagnosis.Nearest;
import takewright.diagnosis.SettingException;

/**
 * The layout of a name, written as text with fields in braces:
 * "{library}_{articulation}_{layer}_{note}_{dynamic}_rr{rr}".
 *
 * <p>The fields are library, articulation, layer, note, midi, dynamic and rr; the number fields
 * midi and rr may give a minimum width, so that {@code {rr:2}} is 01, 02, ... Around them stand the
 * letters, digits and "._#+-".
 *
 * <p>The marks "._#+-" of a pattern are its separators: texts never hold them, so a name can be
 * read in one way only. A pattern for which that does not hold is refused.
 *
 * <p>A sample without a root note has a name without the note and midi fields: each goes with the
 * literal before it, or with the one behind it where it comes first.
 */
public final class NamePattern {
  /** The default pattern. */
  public static final NamePattern DEFAULT =
      of("{library}_{articulation}_{layer}_{note}_{dynamic}_rr{rr}");

  private static final int MAX_LENGTH = 200;

  private final String text;
  private final Set<NameField> fields = EnumSet.noneOf(NameField.class);
  private final TextRule textRule;
  private final Layout whole;

  /** What the contract calls a pattern, in problems. */
  static final String PATTERN = "pattern";

  /** For samples without a root note; null if there is no such name. */
  private final Layout pitchless;

  private NamePattern(String text) {
    this.text = text;
    if (text.length() > MAX_LENGTH) {
      throw new SettingException(
          PATTERN, "is longer than " + MAX_LENGTH + " characters", "shorten it");
    }
    List<Layout.PatternPart> parts = split();
    StringBuilder literals = new StringBuilder();
    parts.stream().filter(part -> part.field() == null).forEach(p -> literals.append(p.literal()));
    textRule = new TextRule(literals.toString());
    whole = new Layout(parts, textRule);
    pitchless = pitchless(parts);
  }

  /**
   * Reads a pattern.
   *
   * @throws IllegalArgumentException if it has an unknown field, could be read in two ways, or
   *     holds what may not stand in names
   */
  public static NamePattern of(String text) {
    return new NamePattern(text);
  }

  private List<Layout.PatternPart> split() {
    List<Layout.PatternPart> parts = new ArrayList<>();
    StringBuilder literal = new StringBuilder();
    for (int at = 0; at < text.length(); at++) {
      char c = text.charAt(at);
      if (c == '{') {
        int end = text.indexOf('}', at);
        if (end < 0) {
          throw new SettingException(PATTERN, "has a { without its }", "close it");
        }
        if (literal.length() > 0) {
          parts.add(Layout.PatternPart.literal(literal.toString()));
          literal.setLength(0);
        }
        parts.add(field(text.substring(at + 1, end)));
        at = end;
      } else if (TextRule.isSafe(c)) {
        literal.append(c);
      } else if (c == '}') {
        throw new SettingException(PATTERN, "has a } without its {", "open it or take it out");
      } else {
        throw new SettingException(
            PATTERN,
            "holds \"" + c + "\", which may not stand in names",
            "use A-Z a-z 0-9 . _ # + -");
      }
    }
    if (literal.length() > 0) {
      parts.add(Layout.PatternPart.literal(literal.toString()));
    }
    return parts;
  }

  private Layout.PatternPart field(String inside) {
    int colon = inside.indexOf(':');
    String word = colon < 0 ? inside : inside.substring(0, colon);
    int index = NameField.WORDS.indexOf(word);
    if (index < 0) {
      String near = Nearest.ifNear(word, NameField.WORDS);
      throw new SettingException(
          PATTERN,
          "holds the unknown field {" + word + "}",
          (near == null ? "" : "did you mean {" + near + "}? ")
              + (near == null ? "use one of " : "The fields are ")
              + NameField.WORDS.stream()
                  .map(known -> "{" + known + "}")
                  .collect(Collectors.joining(", ")));
    }
    NameField field = NameField.values()[index];
    if (!fields.add(field)) {
      throw new SettingException(PATTERN, "holds {" + word + "} twice", "leave one out");
    }
    if (colon < 0) {
      return Layout.PatternPart.field(field, 0);
    }
    String width = inside.substring(colon + 1);
    if (!field.isNumber()) {
      throw new SettingException(
          PATTERN, "gives a width to {" + word + "}, which is no number", "write {" + word + "}");
    }
    if (!width.matches("[1-9]") || Integer.parseInt(width) > field.maxWidth()) {
      throw new SettingException(
          PATTERN,
          "gives {" + word + "} the width " + width,
          "give a width from 1 to " + field.maxWidth());
    }
    return Layout.PatternPart.field(field, Integer.parseInt(width));
  }

  private Layout pitchless(List<Layout.PatternPart> parts) {
    List<Layout.PatternPart> rest = new ArrayList<>(parts);
    for (int i = 0; i < rest.size(); ) {
      if (rest.get(i).field() == null || !rest.get(i).field().isPitch()) {
        i++;
        continue;
      }
      rest.remove(i);
      boolean first = rest.subList(0, i).stream().allMatch(part -> part.field() == null);
      if (first && i < rest.size() && rest.get(i).field() == null) {
        rest.remove(i);
      } else if (i > 0) {
        rest.remove(--i);
      }
    }
    if (rest.size() == parts.size()) {
      return whole;
    }
    try {
      return new Layout(rest, textRule);
    } catch (IllegalArgumentException e) {
      return null;
    }
  }

  /** Whether it cannot name a sample without a root note. */
  public boolean needsNote() {
    return pitchless == null;
  }

  /** Whether names of this pattern say this of a sample. */
  boolean holds(NameField field) {
    return fields.contains(field);
  }

  TextRule textRule() {
    return textRule;
  }

  /** The layout for samples with or without a root note; null if there is none. */
  Layout layout(boolean pitched) {
    return pitched ? whole : pitchless;
  }

  /** The values of a name by field; null if it does not fit. */
  Map<NameField, String> read(String name) {
    Map<NameField, String> values = whole.read(name);
    return values == null && pitchless != null ? pitchless.read(name) : values;
  }

  /** The text it was read from. */
  @Override
  public String toString() {
    return text;
  }

  @Override
  public boolean equals(Object other) {
    return other instanceof NamePattern pattern && pattern.text.equals(text);
  }

  @Override
  public int hashCode() {
    return text.hashCode();
  }
}
