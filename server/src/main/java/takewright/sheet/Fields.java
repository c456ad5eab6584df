package takewright.sheet;

import java.util.ArrayList;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.regex.Pattern;
import org.yaml.snakeyaml.nodes.MappingNode;
import org.yaml.snakeyaml.nodes.Node;
import org.yaml.snakeyaml.nodes.NodeTuple;
import org.yaml.snakeyaml.nodes.ScalarNode;
import org.yaml.snakeyaml.nodes.SequenceNode;
import org.yaml.snakeyaml.nodes.Tag;
import takewright.diagnosis.Problem;
import takewright.name.Nearest;

/**
 * The fields of one mapping of a sheet. What is wrong is noted with its line, and the reading goes
 * on, so that a check can say everything at once: every getter gives null (or an empty list) for
 * what does not exist or is wrong.
 */
final class Fields {
  private static final Pattern NUMBER = Pattern.compile("[-+]?(\\d{1,15}(\\.\\d*)?|\\.\\d+)");

  private static final String UNKNOWN = "unknown key `";
  private static final String MISSING = "` is missing; ";

  private final SheetText text;
  private final List<Problem> problems;
  private final Node node;
  private final Map<String, Node> values = new LinkedHashMap<>();
  private final Map<String, Integer> lines = new LinkedHashMap<>();
  private final Set<String> misspelt = new HashSet<>();

  /**
   * @param known the keys it may have; null for any
   */
  private Fields(SheetText text, List<Problem> problems, MappingNode node, Set<String> known) {
    this.text = text;
    this.problems = problems;
    this.node = node;
    for (NodeTuple tuple : node.getValue()) {
      int line = SheetText.line(tuple.getKeyNode());
      if (!(tuple.getKeyNode() instanceof ScalarNode scalar)) {
        error(line, "a key must be a word; put a text that begins with { or [ in quotes");
        continue;
      }
      String key = scalar.getValue();
      if (known != null && !known.contains(key)) {
        String meant = Nearest.of(key, known);
        misspelt.add(meant);
        error(line, UNKNOWN + key + "`; did you mean `" + meant + "`?");
      } else if (lines.containsKey(key)) {
        error(
            line,
            "`" + key + "` stands twice, first on line " + lines.get(key) + "; leave one out");
      } else {
        values.put(key, tuple.getValueNode());
        lines.put(key, line);
      }
    }
  }

  /** The fields of the whole sheet; null where it is not a mapping. */
  static Fields root(SheetText text, List<Problem> problems, Set<String> known) {
    if (text.root() instanceof MappingNode mapping) {
      return new Fields(text, problems, mapping, known);
    }
    problems.add(
        Problem.error(
            SheetText.line(text.root()),
            "is not a sheet; a sheet is a mapping with at least `library: NAME` and `takes:`"));
    return null;
  }

  int line() {
    return SheetText.line(node);
  }

  boolean has(String key) {
    return lines.containsKey(key);
  }

  /** The line of a key; 0 if it does not exist. */
  int line(String key) {
    return lines.getOrDefault(key, 0);
  }

  List<String> keys() {
    return List.copyOf(values.keySet());
  }

  void error(int line, String message) {
    problems.add(Problem.error(line, message));
  }

  /** Notes that a key is missing where it is, but for one that was probably meant by another. */
  void require(int line, String key, String remedy) {
    if (!has(key) && !misspelt.contains(key)) {
      error(line, "`" + key + MISSING + remedy);
    }
  }

  static boolean isUnknownKey(Problem problem) {
    return problem.message().startsWith(UNKNOWN);
  }

  static boolean isMissingKey(Problem problem) {
    return problem.message().contains(MISSING);
  }

  String text(String key) {
    return has(key) ? scalar(key, values.get(key), "a text") : null;
  }

  /** The text of a scalar as it was written. */
  private String scalar(String key, Node value, String wanted) {
    int line = SheetText.line(value);
    if (!(value instanceof ScalarNode scalar)) {
      error(
          line,
          "`"
              + key
              + "` must be "
              + wanted
              + ", not "
              + kind(value)
              + (value instanceof MappingNode ? "; put a text that begins with { in quotes" : ""));
      return null;
    }
    if (scalar.getTag().equals(Tag.NULL) || scalar.getValue().isBlank()) {
      error(
          line,
          "`"
              + key
              + "` is empty or has an empty item"
              + (text.commentBehind(value)
                  ? ": a # behind a space begins a comment; put a text that begins with # in quotes"
                  : "; give it or leave it out"));
      return null;
    }
    return scalar.getValue().strip();
  }

  private static String kind(Node value) {
    return value instanceof MappingNode
        ? "a mapping"
        : value instanceof SequenceNode ? "a list" : "\"" + ((ScalarNode) value).getValue() + "\"";
  }

  /** One of a few words; {@code otherwise} if it does not exist or is wrong. */
  <T> T word(String key, Map<String, T> words, T otherwise) {
    String value = text(key);
    if (value == null) {
      return otherwise;
    }
    T meaning = words.get(value);
    if (meaning == null) {
      error(
          SheetText.line(values.get(key)),
          "`"
              + key
              + "` must be one of "
              + String.join(", ", words.keySet())
              + ", not \""
              + value
              + "\"; did you mean "
              + Nearest.of(value, words.keySet())
              + "?");
      return otherwise;
    }
    return meaning;
  }

  /** A number; {@code otherwise} if it does not exist or is wrong. */
  Double number(String key, double min, double max, String unit, Double otherwise) {
    return has(key) ? number(key, values.get(key), min, max, unit, false, otherwise) : otherwise;
  }

  /** A whole number; {@code otherwise} if it does not exist or is wrong. */
  int whole(String key, int min, int max, int otherwise) {
    return has(key)
        ? (int) (double) number(key, values.get(key), min, max, "", true, (double) otherwise)
        : otherwise;
  }

  private Double number(
      String key, Node node, double min, double max, String unit, boolean whole, Double otherwise) {
    String wanted = whole ? "a whole number" : "a number";
    String value = scalar(key, node, wanted);
    if (value == null) {
      return otherwise;
    }
    if (NUMBER.matcher(value).matches()) {
      double number = Double.parseDouble(value);
      if (number >= min && number <= max && (!whole || number == Math.rint(number))) {
        return number;
      }
    }
    error(
        SheetText.line(node),
        "`"
            + key
            + "` must be "
            + wanted
            + " from "
            + shortest(min)
            + " to "
            + shortest(max)
            + (unit.isEmpty() ? "" : " " + unit)
            + ", not "
            + value);
    return otherwise;
  }

  private static String shortest(double value) {
    return value == Math.rint(value) ? Long.toString((long) value) : Double.toString(value);
  }

  /** The fields of a mapping in this one; null where there is none. */
  Fields mapping(String key, Set<String> known) {
    return has(key) ? mapping(key, values.get(key), known) : null;
  }

  private Fields mapping(String key, Node value, Set<String> known) {
    if (value instanceof MappingNode mapping) {
      if (mapping.getValue().isEmpty()) {
        error(SheetText.line(value), "`" + key + "` is empty; give it or leave it out");
        return null;
      }
      return new Fields(text, problems, mapping, known);
    }
    String example = known == null ? "close: a.wav" : known.iterator().next() + ": ...";
    error(SheetText.line(value), "`" + key + "` must be a mapping such as {" + example + "}");
    return null;
  }

  /** The mappings of a list. */
  List<Fields> mappings(String key, Set<String> known) {
    List<Fields> mappings = new ArrayList<>();
    for (Node item : items(key)) {
      Fields mapping = mapping(key, item, known);
      if (mapping != null) {
        mappings.add(mapping);
      }
    }
    return mappings;
  }

  private List<Node> items(String key) {
    if (!has(key)) {
      return List.of();
    }
    Node value = values.get(key);
    if (value instanceof SequenceNode list) {
      if (list.getValue().isEmpty()) {
        error(SheetText.line(value), "`" + key + "` is an empty list; fill it or leave it out");
      }
      return list.getValue();
    }
    // An empty scalar is said to be empty; anything else is one item without its brackets.
    if (!(value instanceof ScalarNode) || scalar(key, value, "a list") != null) {
      error(
          SheetText.line(value),
          "`"
              + key
              + "` must be a list, not "
              + kind(value)
              + "; begin each item with - or write [ ]");
    }
    return List.of();
  }

  /** A text with its line. */
  record Item(String text, int line, boolean commentBehind) {}

  /** The texts of a list; also a single text where {@code single}. */
  List<Item> texts(String key, boolean single) {
    List<Item> items = new ArrayList<>();
    boolean one = single && values.get(key) instanceof ScalarNode;
    for (Node node : one ? List.of(values.get(key)) : items(key)) {
      String value = scalar(key, node, "a text");
      if (value != null) {
        items.add(new Item(value, SheetText.line(node), text.commentBehind(node)));
      }
    }
    return items;
  }
}
