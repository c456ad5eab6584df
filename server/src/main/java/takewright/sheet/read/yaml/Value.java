package takewright.sheet.read.yaml;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.regex.Pattern;
import org.yaml.snakeyaml.nodes.MappingNode;
import org.yaml.snakeyaml.nodes.Node;
import org.yaml.snakeyaml.nodes.ScalarNode;
import org.yaml.snakeyaml.nodes.SequenceNode;
import org.yaml.snakeyaml.nodes.Tag;
import takewright.diagnosis.Nearest;
import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;
import takewright.sheet.SheetProblem;
import takewright.sheet.decision.TakeTime;

/**
 * What stands behind a key of the sheet. Reading it answers null if it is wrong, and notes what is
 * wrong with the line.
 */
public final class Value {
  private static final Pattern NUMBER = Pattern.compile("[-+]?(\\d{1,15}(\\.\\d*)?|\\.\\d+)");

  private static final Map<String, Boolean> YES_AND_NO = new LinkedHashMap<>();

  static {
    YES_AND_NO.put("yes", true);
    YES_AND_NO.put("no", false);
    YES_AND_NO.put("true", true);
    YES_AND_NO.put("false", false);
  }

  private final SheetText text;
  private final List<SheetProblem> problems;
  private final String key;
  private final Node node;

  public Value(SheetText text, List<SheetProblem> problems, String key, Node node) {
    this.text = text;
    this.problems = problems;
    this.key = key;
    this.node = node;
  }

  int line() {
    return SheetText.line(node);
  }

  void error(String what, String remedy) {
    problems.add(SheetProblem.error(line(), key, what, remedy));
  }

  /** Whether it is neither a list nor a mapping. */
  boolean isScalar() {
    return node instanceof ScalarNode;
  }

  /** The text of a scalar as it was written. */
  String scalar(String wanted) {
    if (!(node instanceof ScalarNode scalar)) {
      boolean braces = node instanceof MappingNode;
      error(
          "is " + kind() + ", and must be " + wanted,
          braces ? "put a text that begins with { in quotes" : "write one without brackets");
      return null;
    }
    if (scalar.getTag().equals(Tag.NULL) || scalar.getValue().isBlank()) {
      boolean comment = text.commentBehind(node);
      error(
          comment
              ? "is empty or has an empty item, as a # after a space begins a comment"
              : "is empty or has an empty item",
          comment ? "put a text that begins with # in quotes" : "give it or leave it out");
      return null;
    }
    return scalar.getValue().strip();
  }

  private String kind() {
    return node instanceof MappingNode
        ? "a mapping"
        : node instanceof SequenceNode ? "a list" : "\"" + ((ScalarNode) node).getValue() + "\"";
  }

  /** One of a few words. */
  <T> T word(Map<String, T> words) {
    String value = scalar("a word");
    if (value == null) {
      return null;
    }
    T meaning = words.get(value);
    if (meaning == null) {
      String near = Nearest.ifNear(value, words.keySet());
      error(
          "is \"" + value + "\", and must be one of " + String.join(", ", words.keySet()),
          near == null ? "write one of them" : "did you mean " + near + "?");
    }
    return meaning;
  }

  /** Some of a few words, or one of them; null if one is wrong. */
  <T> List<T> words(Map<String, T> words) {
    List<T> meanings = new ArrayList<>();
    for (Value item : isScalar() ? List.of(this) : items()) {
      meanings.add(item.word(words));
    }
    return meanings.contains(null) ? null : meanings;
  }

  /** Yes or no. */
  Boolean yesOrNo() {
    return word(YES_AND_NO);
  }

  /** A time in a take, in seconds. */
  Double time() {
    String value = scalar("a time");
    try {
      return value == null ? null : (Double) TakeTime.seconds(value);
    } catch (SettingException e) {
      error(e.problem().what(), e.problem().remedy());
      return null;
    }
  }

  /** Two times in a take, the second after the first. */
  List<Double> times() {
    List<Double> times = new ArrayList<>();
    for (Value item : items()) {
      times.add(item.time());
    }
    if (times.contains(null)) {
      return null;
    }
    if (times.size() != 2 || times.get(1) <= times.get(0)) {
      error(
          "is not two times in the take, the second after the first",
          "write from and to: [12.0, 14.5]");
      return null;
    }
    return times;
  }

  /** A number of a range. */
  Double number(double min, double max, String unit, boolean whole) {
    String wanted = whole ? "a whole number" : "a number";
    String value = scalar(wanted);
    if (value == null) {
      return null;
    }
    String remedy = Problem.give(wanted, min, max, unit);
    if (!NUMBER.matcher(value).matches()) {
      error("is \"" + value + "\", which is not a number", remedy);
      return null;
    }
    double number = Double.parseDouble(value);
    if (!(number >= min && number <= max)) {
      error("is " + value + ", which is out of range", remedy);
      return null;
    }
    if (whole && number != Math.rint(number)) {
      error("is " + value + ", which is not a whole number", remedy);
      return null;
    }
    return number;
  }

  public static String shortest(double value) {
    return value == Math.rint(value) ? Long.toString((long) value) : Double.toString(value);
  }

  /**
   * A mapping.
   *
   * @param section the keys it may have; null for any
   */
  Fields mapping(Section section) {
    if (node instanceof MappingNode mapping) {
      if (mapping.getValue().isEmpty()) {
        error("is empty", "give it or leave it out");
        return null;
      }
      return new Fields(text, problems, mapping, section);
    }
    String example = section == null ? "close: a.wav" : section.names().get(0) + ": ...";
    error("is " + kind() + ", and must be a mapping", "write it like {" + example + "}");
    return null;
  }

  /** A mapping, or "no". */
  SectionOrNo mappingOrNo(Section section) {
    if (node instanceof ScalarNode scalar && YES_AND_NO.get(scalar.getValue()) == Boolean.FALSE) {
      return new SectionOrNo(null);
    }
    Fields fields = mapping(section);
    return fields == null ? null : new SectionOrNo(fields);
  }

  /** A list of mappings. */
  List<Fields> mappings(Section section, boolean mayBeEmpty) {
    List<Fields> mappings = new ArrayList<>();
    for (Value item : items(mayBeEmpty)) {
      Fields mapping = item.mapping(section);
      if (mapping != null) {
        mappings.add(mapping);
      }
    }
    return mappings;
  }

  /** The items of a list that holds at least one. */
  List<Value> items() {
    return items(false);
  }

  /** The items of a list. */
  private List<Value> items(boolean mayBeEmpty) {
    if (node instanceof SequenceNode list) {
      if (list.getValue().isEmpty() && !mayBeEmpty) {
        error("is an empty list", "fill it or leave it out");
      }
      return list.getValue().stream().map(item -> new Value(text, problems, key, item)).toList();
    }
    // An empty scalar is said to be empty; anything else is one item without its brackets.
    if (!isScalar() || scalar("a list") != null) {
      error("is " + kind() + ", and must be a list", "begin each item with - or write [ ]");
    }
    return List.of();
  }

  /** A text with its line. */
  public record Item(String text, int line, boolean commentBehind) {}

  /** The texts of a list; also a single text where {@code single}. */
  List<Item> texts(boolean single) {
    List<Item> texts = new ArrayList<>();
    for (Value item : single && isScalar() ? List.of(this) : items()) {
      String value = item.scalar("a text");
      if (value != null) {
        texts.add(new Item(value, item.line(), text.commentBehind(item.node)));
      }
    }
    return texts;
  }
}
