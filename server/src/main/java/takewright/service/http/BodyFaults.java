package takewright.service.http;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.google.protobuf.Descriptors.Descriptor;
import com.google.protobuf.Descriptors.EnumValueDescriptor;
import com.google.protobuf.Descriptors.FieldDescriptor;
import com.google.protobuf.Descriptors.FieldDescriptor.JavaType;
import java.util.Collection;
import java.util.HashMap;
import java.util.Iterator;
import java.util.List;
import java.util.Map;
import takewright.diagnosis.Nearest;
import takewright.diagnosis.Problem;

/**
 * Says what is wrong with a body that protobuf's JSON parser refuses. The parser names neither the
 * path of a field nor what could stand there instead.
 */
final class BodyFaults {
  private static final ObjectMapper JSON =
      new ObjectMapper().enable(DeserializationFeature.FAIL_ON_TRAILING_TOKENS);

  private BodyFaults() {}

  /**
   * The first fault.
   *
   * @param request what the body should be
   * @param refusal what the parser says, for what is seldom wrong
   */
  static Problem of(String body, Descriptor request, String refusal) {
    JsonNode root;
    try {
      root = JSON.readTree(body);
    } catch (JsonProcessingException e) {
      return Problem.invalid(
          "",
          "the body is not JSON: it cannot be read at line "
              + e.getLocation().getLineNr()
              + ", column "
              + e.getLocation().getColumnNr(),
          example(request));
    }
    if (!root.isObject()) {
      return Problem.invalid("", "the body is not a JSON object", example(request));
    }
    Problem fault = inMessage("", root, request);
    return fault != null
        ? fault
        : Problem.invalid(
            "",
            "the body is not " + request.getName() + " as protobuf maps it to JSON: " + refusal,
            "correct it as the contract says");
  }

  private static String example(Descriptor request) {
    List<FieldDescriptor> fields = request.getFields();
    if (fields.isEmpty()) {
      return "send {}";
    }
    FieldDescriptor first = fields.get(0);
    return "send " + request.getName() + ", such as {\"" + first.getName() + "\": ...}";
  }

  private static Problem inMessage(String path, JsonNode object, Descriptor message) {
    Map<String, FieldDescriptor> fields = new HashMap<>();
    for (FieldDescriptor field : message.getFields()) {
      fields.put(field.getName(), field);
      fields.put(field.getJsonName(), field);
    }
    Map<Object, FieldDescriptor> chosen = new HashMap<>();
    for (Iterator<String> keys = object.fieldNames(); keys.hasNext(); ) {
      String key = keys.next();
      FieldDescriptor field = fields.get(key);
      if (field == null) {
        return unknown(path, key, message);
      }
      Problem fault = twice(path, object.get(key), field, chosen);
      if (fault == null) {
        fault = inField(path + field.getName(), object.get(key), field);
      }
      if (fault != null) {
        return fault;
      }
    }
    return null;
  }

  /**
   * A field beside another of the same choice, or under both of its names.
   *
   * @param chosen what was set before, by choice or field
   */
  private static Problem twice(
      String path, JsonNode value, FieldDescriptor field, Map<Object, FieldDescriptor> chosen) {
    Object choice = field.getRealContainingOneof();
    FieldDescriptor other =
        value.isNull() ? null : chosen.put(choice == null ? field : choice, field);
    if (other == null) {
      return null;
    }
    return Problem.invalid(
        path + field.getName(),
        other == field ? "is set twice" : "is set together with `" + path + other.getName() + "`",
        "leave one of them out");
  }

  private static Problem unknown(String path, String key, Descriptor message) {
    for (FieldDescriptor field : message.getFields()) {
      boolean holdsIt =
          field.getJavaType() == JavaType.MESSAGE
              && field.getMessageType().getFields().stream()
                  .anyMatch(
                      inner -> inner.getName().equals(key) || inner.getJsonName().equals(key));
      if (holdsIt) {
        return Problem.invalid(
            path + key,
            "is no field of " + message.getName(),
            "put it into `" + path + field.getName() + "`");
      }
    }
    List<String> known = message.getFields().stream().map(FieldDescriptor::getName).toList();
    return Problem.invalid(
        path + key,
        "is no field of " + message.getName(),
        known.isEmpty() ? "leave it out" : Nearest.remedy(key, known, "`"));
  }

  private static Problem inField(String path, JsonNode value, FieldDescriptor field) {
    if (!field.isRepeated()) {
      return inValue(path, value, field);
    }
    if (!value.isArray()) {
      return value.isNull() ? null : Problem.invalid(path, "is not a list", "put it into [ ]");
    }
    for (int i = 0; i < value.size(); i++) {
      Problem fault = inValue(path + "[" + i + "]", value.get(i), field);
      if (fault != null) {
        return fault;
      }
    }
    return null;
  }

  private static Problem inValue(String path, JsonNode value, FieldDescriptor field) {
    if (value.isNull()) {
      return null;
    }
    return switch (field.getJavaType()) {
      case MESSAGE ->
          value.isObject()
              ? inMessage(path + ".", value, field.getMessageType())
              : Problem.invalid(
                  path,
                  "is not an object",
                  "give one with " + named(field.getMessageType().getFields()));
      case ENUM -> inEnum(path, value, field.getEnumType().getValues());
      case BOOLEAN ->
          value.isBoolean() || value.asText().matches("true|false")
              ? null
              : Problem.invalid(path, "is neither true nor false", "give one of the two");
      case INT, LONG ->
          value.asText().matches("-?[0-9]{1,19}(\\.0+)?")
              ? null
              : Problem.invalid(path, "is not a whole number", "give one");
      case FLOAT, DOUBLE ->
          value.isNumber() || isNumber(value.asText())
              ? null
              : Problem.invalid(path, "is not a number", "give one");
      case STRING, BYTE_STRING ->
          value.isValueNode() ? null : Problem.invalid(path, "is not a text", "give one");
    };
  }

  private static Problem inEnum(
      String path, JsonNode value, Collection<EnumValueDescriptor> values) {
    // The first one says that nothing is set.
    List<String> known = values.stream().skip(1).map(EnumValueDescriptor::getName).toList();
    boolean isKnown =
        value.isInt() || values.stream().anyMatch(one -> one.getName().equals(value.asText()));
    return isKnown
        ? null
        : Problem.invalid(
            path, "is none of its values: " + value, Nearest.remedy(value.asText(), known, ""));
  }

  private static boolean isNumber(String text) {
    try {
      Double.parseDouble(text);
      return true;
    } catch (NumberFormatException e) {
      return false;
    }
  }

  private static String named(List<FieldDescriptor> fields) {
    return "`" + String.join("`, `", fields.stream().map(FieldDescriptor::getName).toList()) + "`";
  }
}
