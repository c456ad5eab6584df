package takewright.sheet.read;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.util.List;
import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import org.junit.jupiter.api.Test;
import takewright.diagnosis.Problem;
import takewright.diagnosis.ProblemException;
import takewright.layer.Effect;
import takewright.sheet.Layer;
import takewright.sheet.SheetException;

/** Chains of effects, in a sheet and by themselves. */
class ChainReaderTest {
  private static final String FIELD = "config.chain_text";
  private static final double TEMPO = 90;

  private static Object ofCommand(String chain) {
    try {
      return ChainReader.read(FIELD, chain, TEMPO);
    } catch (ProblemException e) {
      Problem problem = e.problem();
      String key = problem.place() == null ? "chain" : problem.place().key();
      return List.of(key, problem.what(), problem.remedy());
    }
  }

  private static Object ofSheet(String chain) {
    String sheet =
        "library: x\ntakes: [{file: a.wav, articulation: a, notes: C4, tempo_bpm: 90}]\n"
            + "layers: [{name: close}, {name: fx, chain: "
            + chain
            + "}]\n";
    try {
      Layer layer = SheetReader.read(Path.of("sheet.yaml"), sheet).layers().get(1);
      return layer.chain().stream().map(link -> link.at(TEMPO)).toList();
    } catch (SheetException e) {
      Problem problem = e.problem();
      return List.of(problem.place().key(), problem.what(), problem.remedy());
    }
  }

  /**
   * One grammar: a chain is the same, or is refused for the same reason, wherever it is written.
   */
  @Property(tries = 500)
  void aSheetAndACommandReadTheSame(@ForAll("chains") String chain) {
    assertEquals(ofSheet(chain), ofCommand(chain), chain);
  }

  @Provide
  Arbitrary<String> chains() {
    Arbitrary<String> value =
        Arbitraries.of(
            "1",
            "0.5",
            "300",
            "-3",
            "99999",
            "yes",
            "no",
            "true",
            "false",
            "loud",
            "[1]",
            "1/8",
            "1/9",
            "{hz: 300}",
            "{hz: 300, q: 2}",
            "{hz: 300, gain_db: -3}",
            "{decay_s: 4}",
            "{decay_s: 4, damping: 2}",
            "{time_ms: 380, feedback: 0.4}",
            "{note: 1/8}",
            "{note: 1/8., tempo_bpm: 60}",
            "{note: 1/7}",
            "{note: 1/4, time_ms: 3}",
            "{feedback: 1}");
    Arbitrary<String> effect =
        Arbitraries.of(
            "high_pass",
            "low_pass",
            "band_pass",
            "low_shelf",
            "high_shelf",
            "delay",
            "reverb",
            "saturation",
            "width",
            "reverse",
            "gain",
            "higpass");
    Arbitrary<String> item =
        Combinators.combine(effect, value).as((name, of) -> "{" + name + ": " + of + "}");
    return item.list().ofMinSize(1).ofMaxSize(3).map(items -> "[" + String.join(", ", items) + "]");
  }

  /** YAML's words and the sheet's mean the same in both. */
  @Test
  void yesAndTrueAreOne() {
    for (String yes : List.of("yes", "true")) {
      assertEquals(
          List.of(new Effect.Reverse()), ChainReader.read(FIELD, "[{reverse: " + yes + "}]", null));
    }
    for (String no : List.of("no", "false")) {
      assertEquals(List.of(), ChainReader.read(FIELD, "[{reverse: " + no + "}]", null));
    }
  }

  @Test
  void aNoteValueNeedsATempo() {
    ProblemException refused =
        assertThrows(
            ProblemException.class, () -> ChainReader.read(FIELD, "[{delay: {note: 1/8}}]", null));
    assertTrue(refused.getMessage().contains("`tempo_bpm`"), refused.getMessage());
    assertEquals(
        List.of(new Effect.Delay(500, 0, null, -6)),
        ChainReader.read(FIELD, "[{delay: {note: 1/8}}]", 60.0));
  }

  @Test
  void whatIsNoChainIsRefusedByItsField() {
    for (String wrong : List.of("", "high", "{gain: 3}", "[", "[]", "[gain]")) {
      ProblemException refused =
          assertThrows(ProblemException.class, () -> ChainReader.read(FIELD, wrong, null), wrong);
      assertEquals(FIELD, refused.problem().field(), wrong);
    }
  }
}
