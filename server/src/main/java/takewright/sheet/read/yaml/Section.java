package takewright.sheet.read.yaml;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * The keys that a mapping of the sheet may have.
 *
 * @param name what the mapping describes, such as "a take"
 * @param keys in the order in which they are told
 */
public record Section(String name, List<Key<?>> keys) {
  public static Section of(String name, Key<?>... keys) {
    return new Section(name, List.of(keys));
  }

  /** The names of the keys. */
  List<String> names() {
    return keys.stream().map(Key::name).toList();
  }

  /** As JSON Schema tells it. */
  public Map<String, Object> schema() {
    Map<String, Object> properties = new LinkedHashMap<>();
    keys.forEach(key -> properties.put(key.name(), key.schema()));
    Map<String, Object> schema = new LinkedHashMap<>();
    schema.put("type", "object");
    schema.put("properties", properties);
    schema.put("additionalProperties", false);
    List<String> required =
        keys.stream().filter(key -> key.example() != null).map(Key::name).toList();
    if (!required.isEmpty()) {
      schema.put("required", required);
    }
    return schema;
  }
}
