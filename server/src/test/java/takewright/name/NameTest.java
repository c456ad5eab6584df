package takewright.name;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.HashSet;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Assume;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

class NameTest {
  private static final NameFacts FACTS = new NameFacts("Larkfell", "sustain", "close", 61, "mf", 2);

  private static NamingStyle style(String pattern) {
    return new NamingStyle(NamePattern.of(pattern), NoteNames.DEFAULTS);
  }

  @Property
  void whatIsWrittenReadsBackAndIsSafe(
      @ForAll("facts") NameFacts facts, @ForAll("styles") NamingStyle style) {
    String name = Name.format(facts, style);
    NameFacts read = Name.parse(name, style);
    assertEquals(Name.fit(facts, style), read);
    assertEquals(name, Name.format(read, style), "fitted texts stay as they are");
    assertEquals(read, Name.parse("some/folder.x/" + name + ".wav", style));
    assertTrue(name.matches("[A-Za-z0-9_#+][A-Za-z0-9._#+-]*(?<!\\.)"), name);
  }

  /** Facts of plain words read back as they were given, not only as they were fitted. */
  @Property
  void plainFactsReadBackUnchanged(
      @ForAll("plainFacts") NameFacts facts, @ForAll("fullStyles") NamingStyle style) {
    assertEquals(facts, Name.parse(Name.format(facts, style), style));
  }

  /** Patterns put together at random are refused, or else everything named by them reads back. */
  @Property
  void aPatternIsRefusedOrReadsBack(
      @ForAll("anyPattern") String pattern, @ForAll("facts") NameFacts facts) {
    NamingStyle style;
    String name;
    try {
      style = style(pattern);
    } catch (IllegalArgumentException e) {
      Assume.that(false);
      return;
    }
    try {
      name = Name.format(facts, style);
    } catch (IllegalArgumentException e) {
      // The pattern itself must have made names unreadable impossible.
      assertTrue(!e.getMessage().contains("read back"), e.getMessage());
      return;
    }
    assertEquals(Name.fit(facts, style), Name.parse(name, style));
  }

  @Property
  void differentPlainFactsHaveDifferentNames(
      @ForAll("plainFacts") NameFacts a,
      @ForAll("plainFacts") NameFacts b,
      @ForAll("fullStyles") NamingStyle style) {
    Assume.that(!a.toString().equalsIgnoreCase(b.toString()));
    Set<String> names = new HashSet<>();
    for (String name : Name.formatAll(List.of(a, b), style)) {
      names.add(name.toLowerCase(Locale.ROOT));
    }
    assertEquals(2, names.size());
  }

  @Provide
  Arbitrary<NameFacts> facts() {
    // Begins with what no device name begins with and leaves something to write.
    return facts(Arbitraries.strings().all().ofMaxLength(12).map(rest -> "z" + rest));
  }

  @Provide
  Arbitrary<NameFacts> plainFacts() {
    return facts(
        Arbitraries.strings()
            .withCharRange('a', 'z')
            .withCharRange('A', 'Z')
            .withCharRange('0', '9')
            .ofMinLength(1)
            .ofMaxLength(12));
  }

  private static Arbitrary<NameFacts> facts(Arbitrary<String> text) {
    return Combinators.combine(
            text,
            text,
            text,
            Arbitraries.integers().between(0, 127).injectNull(0.2),
            text,
            Arbitraries.integers().between(1, 9999))
        .as(NameFacts::new);
  }

  @Provide
  Arbitrary<NamingStyle> styles() {
    return Combinators.combine(
            Arbitraries.of(
                "{library}_{articulation}_{layer}_{note}_{dynamic}_rr{rr}",
                "{library}-{articulation}-{layer}-{note}-{dynamic}-{rr:2}",
                "{library}.{articulation}.{note}.{dynamic}.{rr:4}",
                "{note}_{midi:3}_{library}_{dynamic}+{rr}",
                "{rr}x{note}_{articulation}",
                "{articulation}-{note}",
                "A_{dynamic}__{midi}-{rr}_z",
                "{library}_#{articulation}_.-+{note}"),
            noteNames())
        .as((pattern, notes) -> new NamingStyle(NamePattern.of(pattern), notes));
  }

  @Provide
  Arbitrary<NamingStyle> fullStyles() {
    return Combinators.combine(
            Arbitraries.of(
                "{library}_{articulation}_{layer}_{note}_{dynamic}_rr{rr}",
                "{library}-{articulation}-{layer}-{note}-{dynamic}-{rr:2}",
                "{note}#{rr}+{midi:3}.{dynamic}-{layer}_{articulation}_{library}"),
            noteNames())
        .as((pattern, notes) -> new NamingStyle(NamePattern.of(pattern), notes));
  }

  private static Arbitrary<NoteNames> noteNames() {
    return Combinators.combine(
            Arbitraries.integers().between(3, 5),
            Arbitraries.of(true, false),
            Arbitraries.of("#", "s"))
        .as(NoteNames::new);
  }

  @Provide
  Arbitrary<String> anyPattern() {
    return Arbitraries.of(
            "{library}",
            "{articulation}",
            "{layer}",
            "{note}",
            "{midi}",
            "{midi:3}",
            "{dynamic}",
            "{rr}",
            "{rr:2}",
            "_",
            "-",
            "-",
            ".",
            "#",
            "x",
            "b",
            "s",
            "1",
            "rr",
            "_x",
            "x_")
        .list()
        .ofMinSize(1)
        .ofMaxSize(7)
        .map(parts -> String.join("", parts));
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "{artculation}_{note}|holds the unknown field {artculation}; did you mean {articulation}? The fields are"
            + " {library}, {articulation}, {layer}, {note}, {midi}, {dynamic}, {rr}",
        "{Note}|holds the unknown field {Note}; did you mean {note}?",
        "{library}{note}|holds {library}{note}, which could not be told apart; put a separator such as _",
        "{library}x{note}|holds {library}x{note}, which could not be told apart; put a separator such",
        "{midi}{rr}|holds {midi}{rr}, which could not be told apart; put a separator such as _ between",
        "{note}2{rr}|holds {note}2, which could not be told apart; put a letter or _ after {note}",
        "a_1{rr}|holds a_1{rr}, which could not be told apart; put a letter or _ before {rr}",
        "{note}_{note}|holds {note} twice; leave one out",
        "{note|has a { without its }; close it",
        "note}|has a } without its {; open it",
        "samples|holds no field; put in {note}, for instance",
        "{library} {note}|holds \" \", which may not stand in names; use A-Z a-z 0-9 . _ # + -",
        "{layer}/{note}|holds \"/\", which may not stand in names; use A-Z a-z 0-9 . _ # + -",
        "{note:2}|gives a width to {note}, which is no number; write {note}",
        "{rr:0}|gives {rr} the width 0; give a width from 1 to 4",
        "{midi:4}|gives {midi} the width 4; give a width from 1 to 3",
        ".{note}|begins with \".\"; begin with a letter or a field",
        "-{note}|begins with \"-\"; begin with a letter or a field",
        "{note}.|ends with \".\"; leave it out",
      })
  void refusesBadPatternsAndSaysWhatToDo(String pattern, String message) {
    var e = assertThrows(IllegalArgumentException.class, () -> NamePattern.of(pattern));
    assertTrue(e.getMessage().startsWith("`pattern` " + message), e.getMessage());
  }

  @Test
  void saysWhichFactIsMissing() {
    var e =
        assertThrows(
            IllegalArgumentException.class,
            () ->
                Name.format(
                    new NameFacts("Larkfell", "sustain", null, 60, "mf", 1), NamingStyle.DEFAULTS));
    assertEquals(
        "`layer` is not given, but name pattern"
            + " \"{library}_{articulation}_{layer}_{note}_{dynamic}_rr{rr}\" holds {layer}; set it,"
            + " or remove it from the pattern",
        e.getMessage());
  }

  @Test
  void factsThatThePatternDoesNotHoldAreNotInTheName() {
    assertEquals("C#4_2", Name.format(FACTS, style("{note}_{rr}")));
    assertEquals(
        new NameFacts(null, null, null, 61, null, 2), Name.parse("C#4_2", style("{note}_{rr}")));
  }

  /** The list: Microsoft, "Naming Files, Paths, and Namespaces". */
  @ParameterizedTest
  @ValueSource(strings = {"con", "PRN", "aux", "nul", "COM1", "lpt9", "nul.x", "Con.a.b"})
  void refusesReservedNamesOfWindows(String articulation) {
    var facts = new NameFacts(null, articulation, null, null, null, null);
    var e =
        assertThrows(
            IllegalArgumentException.class, () -> Name.format(facts, style("{articulation}")));
    assertTrue(e.getMessage().contains("reserved name on Windows"), e.getMessage());
  }

  @Test
  void aDeviceNameMayBePartOfAName() {
    var facts = new NameFacts(null, "con", null, 60, null, null);
    assertEquals("con_C4", Name.format(facts, style("{articulation}_{note}")));
  }

  @Test
  void refusesNamesThatAreTooLong() {
    var facts = new NameFacts("x".repeat(198), null, null, 60, null, null);
    var e =
        assertThrows(
            IllegalArgumentException.class, () -> Name.format(facts, style("{library}_{note}")));
    assertTrue(e.getMessage().contains("201 characters long, and at most 200"), e.getMessage());
    var fits = new NameFacts("x".repeat(197), null, null, 60, null, null);
    assertEquals(200, Name.format(fits, style("{library}_{note}")).length());
  }

  @Test
  void refusesANameWhoseEndWouldBeTakenForAnEnding() {
    var facts = new NameFacts("take.wav", null, null, null, null, null);
    var e =
        assertThrows(IllegalArgumentException.class, () -> Name.format(facts, style("{library}")));
    assertEquals(
        "name \"take.wav\" would not be read back as the same facts; use other texts",
        e.getMessage());
  }

  @Test
  void refusesToReadWhatDoesNotFit() {
    var e =
        assertThrows(
            IllegalArgumentException.class, () -> Name.parse("x.wav", NamingStyle.DEFAULTS));
    assertEquals(
        "\"x.wav\" does not fit the pattern"
            + " \"{library}_{articulation}_{layer}_{note}_{dynamic}_rr{rr}\"; correct the name or"
            + " the pattern",
        e.getMessage());
    assertThrows(IllegalArgumentException.class, () -> Name.parse("61_C4", style("{midi}_{note}")));
    assertThrows(IllegalArgumentException.class, () -> Name.parse("C4_0", style("{note}_{rr}")));
  }

  @Test
  void aClashNamesTheFieldThatThePatternLacks() {
    var other = new NameFacts("Larkfell", "sustain", "close", 61, "mf", 3);
    var e =
        assertThrows(
            IllegalArgumentException.class,
            () -> Name.formatAll(List.of(FACTS, other), style("{library}_{note}")));
    assertEquals(
        "`name` gives two samples the name \"Larkfell_C#4\" (rr 2 and 3); add {rr} to the name pattern",
        e.getMessage());
  }

  @Test
  void namesThatDifferInCaseOnlyClash() {
    var loud = new NameFacts("Larkfell", "sustain", "close", 61, "F", 2);
    var soft = new NameFacts("Larkfell", "sustain", "close", 61, "f", 2);
    var e =
        assertThrows(
            IllegalArgumentException.class,
            () -> Name.formatAll(List.of(loud, soft), NamingStyle.DEFAULTS));
    assertEquals(
        "`name` gives two samples the name \"Larkfell_sustain_close_C#4_f_rr2\" (dynamic F and f); give"
            + " them texts that differ in more than case and punctuation",
        e.getMessage());
  }

  @Test
  void theSameSampleTwiceClashes() {
    var e =
        assertThrows(
            IllegalArgumentException.class,
            () -> Name.formatAll(List.of(FACTS, FACTS), NamingStyle.DEFAULTS));
    assertTrue(e.getMessage().contains("the same in everything"), e.getMessage());
  }
}
