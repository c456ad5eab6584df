package takewright.sheet.read.yaml;

import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.yaml.snakeyaml.nodes.MappingNode;
import org.yaml.snakeyaml.nodes.NodeTuple;
import org.yaml.snakeyaml.nodes.ScalarNode;
import takewright.diagnosis.Nearest;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;
import takewright.sheet.SheetProblem;

/**
 * The keys and values of one mapping of a sheet. Whatever is wrong is noted with its line, and what
 * is asked for is its default then.
 */
public final class Fields {
  private final List<SheetProblem> problems;
  private final MappingNode node;
  private final Map<String, Value> values = new LinkedHashMap<>();
  private final Map<String, Integer> lines = new LinkedHashMap<>();
  private final Set<String> misspelt = new HashSet<>();
  private final Set<String> wrong = new HashSet<>();

  /**
   * @param section the keys it may have and must have; null for any
   */
  public Fields(SheetText text, List<SheetProblem> problems, MappingNode node, Section section) {
    this.problems = problems;
    this.node = node;
    for (NodeTuple tuple : node.getValue()) {
      int line = SheetText.line(tuple.getKeyNode());
      if (!(tuple.getKeyNode() instanceof ScalarNode scalar)) {
        error(line, "", "a key must be a word", "put a text that begins with { or [ in quotes");
        continue;
      }
      String key = scalar.getValue();
      if (section != null && !section.names().contains(key)) {
        unknown(line, key, section);
      } else if (lines.containsKey(key)) {
        error(line, key, "stands twice, first on line " + lines.get(key), "leave one out");
      } else {
        values.put(key, new Value(text, problems, key, tuple.getValueNode()));
        lines.put(key, line);
      }
    }
    if (section != null) {
      section.keys().stream().filter(key -> key.example() != null).forEach(this::require);
    }
  }

  private void unknown(int line, String key, Section section) {
    misspelt.add(Nearest.ifNear(key, section.names()));
    // In braces a comma ends a value: {at: 12,5} has a key 5.
    boolean isDecimal = key.matches("[0-9]+");
    problems.add(
        SheetProblem.error(
            line,
            new Problem(
                Reason.UNKNOWN_KEY,
                key,
                "is not a key of " + section.name(),
                isDecimal
                    ? "write decimals with a point, such as 12.5"
                    : Nearest.remedy(key, section.names(), "`"))));
  }

  public int line() {
    return SheetText.line(node);
  }

  public boolean has(Key<?> key) {
    return lines.containsKey(key.name());
  }

  /**
   * Whether something was probably meant by a key that cannot be told: it is misspelt, or what it
   * holds was read and is wrong. Either is noted already; what would follow from its default is no
   * fault of its own.
   */
  public boolean isUnclear(Key<?> key) {
    return misspelt.contains(key.name()) || wrong.contains(key.name());
  }

  /** The line of a key; 0 if it does not exist. */
  public int line(Key<?> key) {
    return line(key.name());
  }

  public int line(String key) {
    return lines.getOrDefault(key, 0);
  }

  public List<String> keys() {
    return List.copyOf(values.keySet());
  }

  /** What a key holds; its default if it does not exist or is wrong. */
  public <T> T get(Key<T> key) {
    return get(key, key.otherwise());
  }

  /** What a key holds; {@code otherwise} if it does not exist or is wrong. */
  public <T> T get(Key<T> key, T otherwise) {
    T value = has(key) ? key.read(values.get(key.name())) : null;
    if (has(key) && value == null) {
      wrong.add(key.name());
    }
    return value == null ? otherwise : value;
  }

  /** The texts of a key of a mapping that may have any, or its one text. */
  public List<Value.Item> texts(String key) {
    return values.get(key).texts(true);
  }

  public void error(int line, String key, String what, String remedy) {
    problems.add(SheetProblem.error(line, key, what, remedy));
  }

  public void error(Key<?> key, String what, String remedy) {
    error(line(key), key.name(), what, remedy);
  }

  /** Notes that two keys contradict each other. */
  public void refuseBoth(Key<?> one, Key<?> other, String remedy) {
    if (has(one) && has(other)) {
      error(other, "and `" + one.name() + "` are both given", remedy);
    }
  }

  /** Notes that a key lacks the one that it needs. */
  public void requireWith(Key<?> key, Key<?> needed) {
    if (has(key) && !has(needed)) {
      error(key, "needs `" + needed.name() + "`", "add that or leave this out");
    }
  }

  /** Notes that a key is missing, but for one that was probably meant by another. */
  public void require(Key<?> key) {
    require(key, "write " + key.name() + ": " + key.example());
  }

  public void require(Key<?> key, String remedy) {
    if (!has(key) && !misspelt.contains(key.name())) {
      problems.add(
          SheetProblem.error(
              line(), new Problem(Reason.MISSING_KEY, key.name(), "is missing", remedy)));
    }
  }
}
