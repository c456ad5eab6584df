package takewright.sheet.read;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.util.LinkedHashMap;
import java.util.Map;

/**
 * The sheet as JSON Schema (draft 2020-12), by which editors complete and check it. Written from
 * the keys that the readers declare.
 */
public final class SheetSchema {
  private SheetSchema() {}

  /** The schema as JSON, ended by a line feed. */
  public static String json() {
    Map<String, Object> schema = new LinkedHashMap<>();
    schema.put("$schema", "https://json-schema.org/draft/2020-12/schema");
    schema.put("title", "The sheet of a sample library");
    schema.putAll(SheetReader.SHEET.schema());
    try {
      return new ObjectMapper().writerWithDefaultPrettyPrinter().writeValueAsString(schema) + "\n";
    } catch (JsonProcessingException e) {
      throw new IllegalStateException("plain values could not be written as JSON", e);
    }
  }
}
