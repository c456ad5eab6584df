package takewright.sheet.read.yaml;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.function.Function;

/**
 * A key of the sheet, declared once: its name, what it may hold, what holds where it is not given,
 * and what it means. It is read by this, and the schema for editors is written by this.
 *
 * @param <T> what it is read as
 */
public final class Key<T> {
  private static final List<Object> SWITCH = List.of("yes", "no", true, false);

  private final String name;
  private final String meaning;
  private final T otherwise;
  private final String example;
  private final Function<Value, T> reading;
  private final Map<String, Object> schema;

  private Key(
      String name,
      String meaning,
      T otherwise,
      String example,
      Function<Value, T> reading,
      Map<String, Object> schema) {
    this.name = name;
    this.meaning = meaning;
    this.otherwise = otherwise;
    this.example = example;
    this.reading = reading;
    this.schema = schema;
  }

  /** A text. */
  public static Key<String> text(String name, String meaning) {
    return new Key<>(name, meaning, null, null, v -> v.scalar("a text"), text());
  }

  /** A list of texts. */
  public static Key<List<Value.Item>> texts(String name, String meaning) {
    return new Key<>(name, meaning, List.of(), null, v -> v.texts(false), listOf(text()));
  }

  /** A list of texts, or one text. */
  public static Key<List<Value.Item>> oneOrMore(String name, String meaning) {
    return new Key<>(
        name,
        meaning,
        List.of(),
        null,
        v -> v.texts(true),
        Map.of("anyOf", List.of(text(), listOf(text()))));
  }

  /**
   * A number.
   *
   * @param unit such as "Hz"; may be empty
   * @param otherwise what it is where it is not given; may be null
   */
  public static Key<Double> number(
      String name, double min, double max, String unit, Double otherwise, String meaning) {
    return new Key<>(
        name,
        meaning,
        otherwise,
        null,
        v -> v.number(min, max, unit, false),
        range("number", min, max, otherwise));
  }

  /** A whole number. */
  public static Key<Integer> whole(
      String name, int min, int max, String unit, Integer otherwise, String meaning) {
    return new Key<>(
        name,
        meaning,
        otherwise,
        null,
        v -> {
          Double number = v.number(min, max, unit, true);
          return number == null ? null : (Integer) number.intValue();
        },
        range("integer", min, max, otherwise == null ? null : (Double) (double) otherwise));
  }

  /** One of a few words. */
  public static <T> Key<T> word(String name, Map<String, T> words, T otherwise, String meaning) {
    List<Object> known = words.keySet().stream().map(Key::literal).toList();
    return new Key<>(name, meaning, otherwise, null, v -> v.word(words), Map.of("enum", known));
  }

  /** Some of a few words, or one of them. */
  public static <T> Key<List<T>> words(String name, Map<String, T> words, String meaning) {
    Map<String, Object> known = Map.of("enum", List.copyOf(words.keySet()));
    return new Key<>(
        name,
        meaning,
        List.of(),
        null,
        v -> v.words(words),
        Map.of("anyOf", List.of(known, listOf(known))));
  }

  /** A time in a take, in seconds or as minutes and seconds. */
  public static Key<Double> time(String name, String meaning) {
    return new Key<>(name, meaning, null, null, Value::time, text());
  }

  /** Two times in a take, the second after the first. */
  public static Key<List<Double>> times(String name, String meaning) {
    Map<String, Object> two = listOf(text());
    two.put("minItems", 2);
    two.put("maxItems", 2);
    return new Key<>(name, meaning, null, null, Value::times, two);
  }

  /** Yes or no, also written true or false. */
  public static Key<Boolean> yesOrNo(String name, Boolean otherwise, String meaning) {
    Map<String, Object> schema = new LinkedHashMap<>();
    schema.put("enum", SWITCH);
    if (otherwise != null) {
      schema.put("default", otherwise ? "yes" : "no");
    }
    return new Key<>(name, meaning, otherwise, null, Value::yesOrNo, schema);
  }

  /** A mapping with keys of its own; with any where the section is null. */
  public static Key<Fields> section(String name, Section section, String meaning) {
    return new Key<>(name, meaning, null, null, v -> v.mapping(section), schema(section));
  }

  /** A mapping with keys of its own, or "no". */
  public static Key<SectionOrNo> sectionOrNo(String name, Section section, String meaning) {
    Map<String, Object> no = Map.of("enum", List.of("no", false));
    return new Key<>(
        name,
        meaning,
        null,
        null,
        v -> v.mappingOrNo(section),
        Map.of("anyOf", List.of(section.schema(), no)));
  }

  /** A mapping with keys of its own, or yes or no. */
  public static <T> Key<T> sectionOrSwitch(
      String name,
      Section section,
      Function<Fields, T> reading,
      Function<Boolean, T> ofSwitch,
      String meaning) {
    return new Key<>(
        name,
        meaning,
        null,
        null,
        value -> {
          if (value.isScalar()) {
            Boolean on = value.yesOrNo();
            return on == null ? null : ofSwitch.apply(on);
          }
          Fields fields = value.mapping(section);
          return fields == null ? null : reading.apply(fields);
        },
        Map.of("anyOf", List.of(section.schema(), Map.of("enum", SWITCH))));
  }

  /** A list of mappings with keys of their own. */
  public static Key<List<Fields>> sections(String name, Section section, String meaning) {
    return new Key<>(
        name, meaning, List.of(), null, v -> v.mappings(section, false), listOf(section.schema()));
  }

  /** The same, which may be empty. */
  public static Key<List<Fields>> sectionsIfAny(String name, Section section, String meaning) {
    Map<String, Object> list = listOf(section.schema());
    list.remove("minItems");
    return new Key<>(name, meaning, List.of(), null, v -> v.mappings(section, true), list);
  }

  /** The same key, read on to something else; what cannot be is noted by the reading as null. */
  public <U> Key<U> as(Function<T, U> further) {
    return new Key<>(
        name,
        meaning,
        null,
        example,
        value -> {
          T read = reading.apply(value);
          return read == null ? null : further.apply(read);
        },
        schema);
  }

  /**
   * The same key, which must be there.
   *
   * @param asExample what to write, such as "sustain"
   */
  public Key<T> required(String asExample) {
    return new Key<>(name, meaning, otherwise, asExample, reading, schema);
  }

  public String name() {
    return name;
  }

  /** What it is where it is not given. */
  T otherwise() {
    return otherwise;
  }

  /** What to write where it must be there; null if it need not be. */
  String example() {
    return example;
  }

  /** What a value is read as; null if it is wrong, which is noted. */
  public T read(Value value) {
    return reading.apply(value);
  }

  /** Its schema with its meaning. */
  Map<String, Object> schema() {
    Map<String, Object> all = new LinkedHashMap<>();
    all.put("description", meaning);
    all.putAll(schema);
    return all;
  }

  private static Map<String, Object> schema(Section section) {
    return section == null ? Map.of("type", "object") : section.schema();
  }

  private static Map<String, Object> text() {
    return Map.of("type", List.of("string", "number"));
  }

  private static Map<String, Object> listOf(Map<String, Object> items) {
    Map<String, Object> list = new LinkedHashMap<>();
    list.put("type", "array");
    list.put("items", items);
    list.put("minItems", 1);
    return list;
  }

  private static Map<String, Object> range(String type, double min, double max, Double otherwise) {
    Map<String, Object> range = new LinkedHashMap<>();
    range.put("type", type);
    range.put("minimum", literal(Value.shortest(min)));
    range.put("maximum", literal(Value.shortest(max)));
    if (otherwise != null) {
      range.put("default", literal(Value.shortest(otherwise)));
    }
    return range;
  }

  private static Object literal(String word) {
    if (word.matches("-?[0-9]+")) {
      return Integer.valueOf(word);
    }
    return word.matches("-?[0-9]+\\.[0-9]+") ? (Object) Double.valueOf(word) : word;
  }
}
