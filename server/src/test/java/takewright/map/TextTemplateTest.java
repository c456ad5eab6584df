package takewright.map;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.diagnosis.SettingException;

/** Texts made of a key map, by the tags of mustache(5). */
class TextTemplateTest {
  private static Zone zone(String file, String layer, String dynamic, int root, int rr) {
    boolean soft = dynamic.equals("p");
    return new Zone(
        file,
        "held & low",
        layer,
        dynamic,
        root,
        root - 1,
        root + 1,
        soft ? 1 : 65,
        soft ? 64 : 127,
        rr,
        2,
        -1.5,
        root == 60 ? 1000L : null,
        root == 60 ? 2999L : null,
        340.7,
        VelocityRule.EVEN);
  }

  private static final List<Zone> ZONES =
      List.of(
          zone("a1.wav", "close", "p", 60, 1),
          zone("a2.wav", "close", "p", 60, 2),
          zone("b1.wav", "close", "f", 60, 1),
          zone("c1.wav", "close", "p", 64, 1),
          zone("d1.wav", "hall", "p", 60, 1));

  private static String apply(String template, boolean isMarkup) {
    Map<String, Object> facts = new MapFacts("Larkfell", key -> "n" + key).of(ZONES);
    return TextTemplate.of(template, isMarkup).apply(facts);
  }

  private static String apply(String template) {
    return apply(template, false);
  }

  @Test
  void aListGoesThroughAllSamplesWithWhatStandsAround() {
    assertEquals(
        "a1.wav,a2.wav,b1.wav,c1.wav,d1.wav",
        apply("{{#samples}}{{file}}{{^-last}},{{/-last}}{{/samples}}"));
    assertEquals(
        "Larkfell n60 Larkfell n60 ",
        apply(
            "{{#articulations}}{{#layers}}{{#keys}}{{^-first}}{{/-first}}{{#-first}}{{library}} {{note}} {{/-first}}{{/keys}}{{/layers}}{{/articulations}}"));
  }

  @Test
  void groupsHaveWhatTheirSamplesShare() {
    String grouped =
        apply(
            "{{#articulations}}{{#layers}}{{layer}}:{{#keys}}{{root}}[{{low_key}}-{{high_key}}]"
                + "{{#dynamics}}{{dynamic}}({{#samples}}{{rr}}{{/samples}}){{/dynamics}}{{/keys}}"
                + " {{/layers}}{{/articulations}}");
    assertEquals("close:60[59-61]p(12)f(1)64[63-65]p(1) hall:60[59-61]p(1) ", grouped);
  }

  @Test
  void aFactThatIsEmptyIsFalse() {
    assertEquals(
        "1000-2999 1000-2999 1000-2999 none 1000-2999 ",
        apply(
            "{{#samples}}{{#loop_start}}{{loop_start}}-{{loop_end}}{{/loop_start}}{{^loop_start}}none{{/loop_start}} {{/samples}}"));
  }

  @Test
  void onlyMarkupIsEscaped() {
    assertEquals("held & low", apply("{{articulation}}"));
    assertEquals("held &amp; low", apply("{{articulation}}", true));
    assertEquals("held & low", apply("{{{articulation}}}", true));
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "{{#samples}}{{fiel}}{{/samples}} | asks for \"fiel\" in line 1",
        "{{layer}} | asks for \"layer\" in line 1",
        "{{#samples}}{{file}} | is not a template",
        "{{file.class}} | asks for",
        "{{#samples}}{{file.length}}{{/samples}} | asks for",
        "{{> other}} | asks for a partial",
        "{{#samples}}{{#samples}}{{#samples}}{{#samples}}{{#samples}}{{#samples}}{{#samples}}"
            + "{{#samples}}{{#samples}}{{#samples}}{{/samples}}{{/samples}}{{/samples}}"
            + "{{/samples}}{{/samples}}{{/samples}}{{/samples}}{{/samples}}{{/samples}}"
            + "{{/samples}} | goes through more than 5000000 items",
      })
  void whatIsWrongIsSaidWithItsPlace(String template, String says) {
    SettingException refused = assertThrows(SettingException.class, () -> apply(template));
    assertTrue(refused.getMessage().contains(says), refused.getMessage());
  }
}
