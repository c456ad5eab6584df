package takewright.cli;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.dataformat.yaml.YAMLMapper;
import java.util.ArrayList;
import java.util.Iterator;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import takewright.v1.EffectBandPass;
import takewright.v1.EffectDelay;
import takewright.v1.EffectReverb;
import takewright.v1.EffectShelf;
import takewright.v1.LayerEffect;

/** A chain of effects as a sheet writes it: {@code [{high_pass: 300}, {reverb: {decay_s: 4}}]}. */
final class EffectsText {
  private static final String EXAMPLE = "such as [{high_pass: 300}, {reverb: {decay_s: 4}}]";

  private EffectsText() {}

  /**
   * Reads a chain.
   *
   * @param tempoBpm quarter notes a minute for delays in note values; null for none
   * @throws IllegalArgumentException where it is not one
   */
  static List<LayerEffect> read(String text, Double tempoBpm) {
    JsonNode root;
    try {
      root = new YAMLMapper().readTree(text);
    } catch (JsonProcessingException e) {
      throw new IllegalArgumentException("--chain is not a list of effects " + EXAMPLE, e);
    }
    if (root == null || !root.isArray() || root.isEmpty()) {
      throw new IllegalArgumentException("--chain must be a list of effects " + EXAMPLE);
    }
    List<LayerEffect> chain = new ArrayList<>();
    for (JsonNode item : root) {
      if (!item.isObject() || item.size() != 1) {
        throw new IllegalArgumentException(
            "--chain: an item is one effect in braces, " + EXAMPLE + ", not " + item);
      }
      String name = item.fieldNames().next();
      chain.add(effect(name, item.get(name), tempoBpm));
    }
    return chain;
  }

  private static LayerEffect effect(String name, JsonNode value, Double tempoBpm) {
    LayerEffect.Builder effect = LayerEffect.newBuilder();
    switch (name) {
      case "high_pass" -> effect.setHighPassHz(number(name, value));
      case "low_pass" -> effect.setLowPassHz(number(name, value));
      case "band_pass" -> {
        keys(name, value, "hz", "q");
        EffectBandPass.Builder band =
            EffectBandPass.newBuilder().setHz(number("band_pass.hz", value.get("hz")));
        if (value.has("q")) {
          band.setQ(number("band_pass.q", value.get("q")));
        }
        effect.setBandPass(band);
      }
      case "low_shelf" -> effect.setLowShelf(shelf(name, value));
      case "high_shelf" -> effect.setHighShelf(shelf(name, value));
      case "delay" -> effect.setDelay(delay(value, tempoBpm));
      case "reverb" -> effect.setReverb(reverb(value));
      case "saturation" -> effect.setSaturationDb(number(name, value));
      case "width" -> effect.setWidth(number(name, value));
      case "reverse" -> {
        if (!value.isBoolean()) {
          throw new IllegalArgumentException("--chain: reverse must be true or false");
        }
        effect.setReverse(value.asBoolean());
      }
      case "gain" -> effect.setGainDb(number(name, value));
      default ->
          throw new IllegalArgumentException(
              "--chain: unknown effect `"
                  + name
                  + "`; one of high_pass, low_pass, band_pass, low_shelf, high_shelf, delay, reverb,"
                  + " saturation, width, reverse, gain");
    }
    return effect.build();
  }

  private static EffectShelf shelf(String name, JsonNode value) {
    keys(name, value, "hz", "gain_db");
    return EffectShelf.newBuilder()
        .setHz(number(name + ".hz", value.get("hz")))
        .setGainDb(number(name + ".gain_db", value.get("gain_db")))
        .build();
  }

  private static EffectDelay delay(JsonNode value, Double tempoBpm) {
    keys("delay", value, "time_ms", "note", "feedback", "low_pass", "wet_db");
    EffectDelay.Builder delay = EffectDelay.newBuilder();
    if (value.has("time_ms") && value.has("note")) {
      throw new IllegalArgumentException(
          "--chain: delay has `time_ms` or `note`, not both; leave one out");
    }
    if (value.has("note")) {
      delay.setNoteValue(value.get("note").asText());
      if (tempoBpm == null) {
        throw new IllegalArgumentException("--chain: delay.note needs --tempo-bpm; give it");
      }
      delay.setTempoBpm(tempoBpm);
    } else {
      delay.setTimeMs(number("delay.time_ms", value.get("time_ms")));
    }
    if (value.has("feedback")) {
      delay.setFeedback(number("delay.feedback", value.get("feedback")));
    }
    if (value.has("low_pass")) {
      delay.setLowPassHz(number("delay.low_pass", value.get("low_pass")));
    }
    if (value.has("wet_db")) {
      delay.setWetDb(number("delay.wet_db", value.get("wet_db")));
    }
    return delay.build();
  }

  private static EffectReverb reverb(JsonNode value) {
    keys("reverb", value, "decay_s", "damping", "wet_db");
    EffectReverb.Builder reverb =
        EffectReverb.newBuilder().setDecayS(number("reverb.decay_s", value.get("decay_s")));
    if (value.has("damping")) {
      reverb.setDamping(number("reverb.damping", value.get("damping")));
    }
    if (value.has("wet_db")) {
      reverb.setWetDb(number("reverb.wet_db", value.get("wet_db")));
    }
    return reverb.build();
  }

  private static void keys(String name, JsonNode value, String... known) {
    if (!value.isObject()) {
      throw new IllegalArgumentException(
          "--chain: " + name + " must be a mapping such as {" + known[0] + ": ...}");
    }
    Set<String> words = new TreeSet<>(List.of(known));
    for (Iterator<String> names = value.fieldNames(); names.hasNext(); ) {
      String key = names.next();
      if (!words.contains(key)) {
        throw new IllegalArgumentException(
            "--chain: "
                + name
                + " has an unknown key `"
                + key
                + "`; one of "
                + String.join(", ", known));
      }
    }
  }

  private static double number(String name, JsonNode value) {
    if (value == null || !value.isNumber()) {
      throw new IllegalArgumentException(
          "--chain: " + name + " must be a number" + (value == null ? ", and is missing" : ""));
    }
    return value.asDouble();
  }
}
