package takewright.sheet.read;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;

/** The schema of the sheet is the one that the readers declare. */
class SheetSchemaTest {
  /** Written again with {@code -Dtakewright.write=true}. */
  @Test
  void theProgramBringsTheSchemaOfItsReaders() throws IOException {
    if (Boolean.getBoolean("takewright.write")) {
      Files.writeString(
          Path.of("src/main/resources/takewright/sheet/schema.json"), SheetSchema.json());
    }
    try (var in = SheetReader.class.getResourceAsStream("/takewright/sheet/schema.json")) {
      assertEquals(SheetSchema.json(), new String(in.readAllBytes(), StandardCharsets.UTF_8));
    }
  }

  @Test
  void itHoldsKeysRangesDefaultsAndMeanings() throws IOException {
    JsonNode schema = new ObjectMapper().readTree(SheetSchema.json());
    JsonNode tuning = schema.at("/properties/tuning_hz");
    assertEquals(392, tuning.get("minimum").asInt());
    assertEquals(466, tuning.get("maximum").asInt());
    assertEquals(440, tuning.get("default").asInt());
    JsonNode take = schema.at("/properties/takes/items");
    assertEquals("articulation", take.at("/required/0").asText());
    assertTrue(take.at("/properties/kind/enum").toString().contains("unpitched"));
    assertEquals(16, schema.at("/properties/output/properties/bit_depth/enum/0").asInt());
    assertTrue(
        schema.at("/properties/layers/items/properties/chain/items/properties").has("reverb"));
    List<String> unexplained = new ArrayList<>();
    explain(schema.get("properties"), "", unexplained);
    assertEquals(List.of(), unexplained);
  }

  private static void explain(JsonNode properties, String path, List<String> unexplained) {
    properties
        .properties()
        .forEach(
            entry -> {
              JsonNode key = entry.getValue();
              if (key.path("description").asText().length() < 10) {
                unexplained.add(path + entry.getKey());
              }
              for (JsonNode inner : List.of(key.path("properties"), key.at("/items/properties"))) {
                explain(inner, path + entry.getKey() + ".", unexplained);
              }
            });
  }
}
