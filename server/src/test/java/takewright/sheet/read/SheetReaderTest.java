package takewright.sheet.read;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.stream.IntStream;
import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;
import takewright.audio.Recording;
import takewright.layer.Effect;
import takewright.name.NamingStyle;
import takewright.name.NoteNames;
import takewright.pitch.Kind;
import takewright.sheet.ChainLink;
import takewright.sheet.Fills;
import takewright.sheet.Layer;
import takewright.sheet.Output;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.Span;
import takewright.sheet.Take;
import takewright.sheet.TakeLines;
import takewright.sheet.TakePlan;
import takewright.sheet.TakeRules;
import takewright.sheet.Tempo;
import takewright.sheet.Treatment;
import takewright.sheet.cell.Cell;
import takewright.sheet.decision.Decision;

class SheetReaderTest {
  /** Every key that a sheet may have; the library and its files are invented. */
  private static final String FULL =
      """
      library: Larkfell            # used in names
      tuning_hz: 442               # A4
      middle_c: C3                 # what MIDI note 60 is called
      accidentals: flat
      sharp_sign: s
      name: "{library}_{articulation}_{layer}_{note}_{dynamic}_{rr:2}"
      output: {sample_rate: 44100, bit_depth: 16}
      lead_in_ms: 25              # silence before each onset
      layers:
        - {name: close}
        - {name: overhead}
        - {name: room, impulse: ir/room.wav, wet_db: -6}
        - {name: fx, chain: [{high_pass: 300}, {delay: {time_ms: 380, feedback: 0.4, low_pass: 2500}}, {reverb: {decay_s: 4}}, {low_pass: 9000}]}
      takes:
        - files: {close: a.wav, overhead: b.wav}
          articulation: sustain
          kind: pitched
          notes: G2..A4/2
          dynamics: [p, f]         # in the order played
          round_robins: 2
          order: [rr, dynamic, note]
          tempo_bpm: 72
          beats_per_bar: 3
          bars: 2
          lead_in_ms: 0
          keep: [12.5, 1:02.5]     # it is a note, whatever it sounds like
          drop:
            - 70.0-75.25
        - {file: hits.wav, articulation: hit, kind: unpitched, round_robins: 12}
      """;

  @TempDir Path folder;

  private Sheet read(String text) throws IOException {
    return SheetReader.read(write(text));
  }

  private Path write(String text) throws IOException {
    return Files.writeString(folder.resolve("sheet.yaml"), text);
  }

  private String refusal(String text) throws IOException {
    Path file = write(text);
    var e = assertThrows(SheetException.class, () -> SheetReader.read(file));
    assertEquals(1, e.getMessage().lines().count(), "one line");
    return e.getMessage();
  }

  @Test
  void readsEveryKey() throws IOException {
    Sheet sheet = read(FULL);
    assertEquals("Larkfell", sheet.library());
    assertEquals(442, sheet.tuningHz());
    assertEquals(new NoteNames(3, true, "s"), sheet.naming().noteNames());
    assertEquals(
        "{library}_{articulation}_{layer}_{note}_{dynamic}_{rr:2}",
        sheet.naming().pattern().toString());
    assertEquals(new Output(44_100, 16), sheet.output());
    assertEquals(
        List.of(
            Layer.recorded(10, "close"),
            Layer.recorded(11, "overhead"),
            new Layer(
                12,
                "room",
                List.of(),
                folder.resolve("ir/room.wav"),
                null,
                -6,
                0,
                false,
                List.of(),
                -6),
            new Layer(
                13,
                "fx",
                List.of(),
                null,
                null,
                -6,
                0,
                false,
                List.of(
                    new ChainLink(new Effect.HighPass(300), null),
                    new ChainLink(new Effect.Delay(380, 0.4, 2500.0, -6), null),
                    new ChainLink(new Effect.Reverb(4, 0.5, -6), null),
                    new ChainLink(new Effect.LowPass(9000), null)),
                -6)),
        sheet.layers());
    Take take = sheet.takes().get(0);
    assertEquals(
        new Take(
            0,
            new TakeLines(15, 18, 19, 20, 21),
            "a.wav",
            Map.of(
                "close",
                Recording.of(folder.resolve("a.wav")),
                "overhead",
                Recording.of(folder.resolve("b.wav"))),
            Span.WHOLE,
            "sustain",
            Kind.PITCHED,
            new TakePlan(
                IntStream.iterate(55, midi -> midi <= 81, midi -> midi + 2).boxed().toList(),
                List.of("p", "f"),
                2,
                List.of(Take.Axis.RR, Take.Axis.DYNAMIC, Take.Axis.NOTE)),
            Fills.OWN,
            new Tempo(72.0, 3, 2),
            0,
            TakeRules.DEFAULTS,
            List.of(
                new Decision(true, "12.5", 26, 12.5, 12.5),
                new Decision(true, "1:02.5", 26, 62.5, 62.5),
                new Decision(false, "70.0-75.25", 28, 70, 75.25)),
            List.of(),
            Treatment.usual(Kind.PITCHED),
            null),
        take);
    assertEquals(5.0, take.barsLengthS(), 1e-12);
    assertEquals(Recording.of(folder.resolve("a.wav")), take.main());
    assertEquals(4, sheet.layers(take).size());
    Take hits = sheet.takes().get(1);
    assertEquals(Kind.UNPITCHED, hits.kind());
    assertEquals(25, hits.leadInMs());
    assertEquals(List.of(), hits.decisions());
    assertEquals(Map.of("close", Recording.of(folder.resolve("hits.wav"))), hits.files());
    assertEquals(
        List.of("close", "room", "fx"), sheet.layers(hits).stream().map(Layer::name).toList());
  }

  @Test
  void leavesTheRestAtItsDefaults() throws IOException {
    Sheet sheet =
        read(
            """
            library: Larkfell
            takes:
              - file: takes/a.wav
                articulation: sustain
                notes: A4
            """);
    assertEquals(440, sheet.tuningHz());
    assertEquals(NamingStyle.DEFAULTS, sheet.naming());
    assertEquals(new Output(48_000, 24), sheet.output());
    assertEquals(List.of(Layer.recorded(0, "close")), sheet.layers());
    Take take = sheet.takes().get(0);
    assertEquals("takes/a.wav", take.name());
    assertEquals(Map.of("close", Recording.of(folder.resolve("takes/a.wav"))), take.files());
    assertEquals(Kind.PITCHED, take.kind());
    assertEquals(List.of(69), take.notes());
    assertEquals(List.of("mf"), take.dynamics());
    assertEquals(1, take.roundRobins());
    assertEquals(List.of(Take.Axis.NOTE, Take.Axis.DYNAMIC, Take.Axis.RR), take.order());
    assertNull(take.tempoBpm());
    assertNull(take.barsLengthS());
    assertEquals(10, take.leadInMs());
    assertEquals(0, take.lines().order());
    assertEquals(List.of(), take.decisions());
  }

  @Test
  void microphonesAreLayersWhereTheSheetNamesNone() throws IOException {
    Sheet sheet =
        read(
            """
            library: Larkfell
            takes:
              - files: {near: a.wav, far: b.wav}
                articulation: sustain
                notes: A4
              - {file: c.wav, articulation: hit, kind: unpitched}
            """);
    assertEquals(List.of("near", "far"), sheet.layers().stream().map(Layer::name).toList());
    assertEquals(Recording.of(folder.resolve("a.wav")), sheet.takes().get(0).main());
    assertEquals(
        Map.of("near", Recording.of(folder.resolve("c.wav"))), sheet.takes().get(1).files());
  }

  /** What YAML 1.1 takes for truth values, numbers in sixties or octals stays as it is written. */
  @Test
  void wordsStayWords() throws IOException {
    Sheet sheet =
        read(
            """
            library: 1:30
            takes:
              - file: no
                articulation: on
                notes: [F#1, "G#1", 'A#1', B1, e4]
                dynamics: [f, n, y, no, off, 1:30, 010, 1e3, p]
            """);
    assertEquals("1:30", sheet.library());
    Take take = sheet.takes().get(0);
    assertEquals("no", take.name());
    assertEquals("on", take.articulation());
    assertEquals(List.of(30, 32, 34, 35, 64), take.notes());
    assertEquals(List.of("f", "n", "y", "no", "off", "1:30", "010", "1e3", "p"), take.dynamics());
  }

  @Test
  void cellsComeAsTheyArePlayed() throws IOException {
    String text =
        """
        library: Larkfell
        takes:
          - file: a.wav
            articulation: sustain
            notes: [D4, C4]
            dynamics: [p, f]
            round_robins: 2
        """;
    Sheet sheet = read(text);
    assertEquals(
        List.of(
            new Cell(0, "sustain", 62, "p", 1),
            new Cell(0, "sustain", 62, "p", 2),
            new Cell(0, "sustain", 62, "f", 1),
            new Cell(0, "sustain", 62, "f", 2),
            new Cell(0, "sustain", 60, "p", 1),
            new Cell(0, "sustain", 60, "p", 2),
            new Cell(0, "sustain", 60, "f", 1),
            new Cell(0, "sustain", 60, "f", 2)),
        sheet.cells(sheet.takes().get(0)));
    Sheet other = read(text + "    order: [dynamic, rr, note]\n");
    assertEquals(
        List.of(
            new Cell(0, "sustain", 62, "p", 1),
            new Cell(0, "sustain", 60, "p", 1),
            new Cell(0, "sustain", 62, "p", 2),
            new Cell(0, "sustain", 60, "p", 2),
            new Cell(0, "sustain", 62, "f", 1),
            new Cell(0, "sustain", 60, "f", 1),
            new Cell(0, "sustain", 62, "f", 2),
            new Cell(0, "sustain", 60, "f", 2)),
        other.cells());
  }

  @Test
  void timesAreReadAsPeopleWriteThem() {
    assertEquals(
        new Decision(true, "1:01:02.25", 7, 3662.25, 3662.25), Decision.of(true, "1:01:02.25", 7));
    assertEquals(
        new Decision(false, "59.5 - 1:02", 7, 59.5, 62), Decision.of(false, "59.5 - 1:02", 7));
    assertEquals(new Decision(false, "90:00", 7, 5400, 5400), Decision.of(false, "90:00", 7));
  }

  @Test
  void aRangeOfNotesRunsBothWays() throws IOException {
    String head = "library: x\ntakes:\n  - {file: a.wav, articulation: b, notes: ";
    assertEquals(List.of(64, 63, 62), read(head + "E4..D4}\n").takes().get(0).notes());
    assertEquals(List.of(64, 62, 60), read(head + "E4..B3/2}\n").takes().get(0).notes());
    assertEquals(List.of(60, 62, 64), read(head + "C4..F4/2}\n").takes().get(0).notes());
    assertEquals(List.of(60), read(head + "C4..C4}\n").takes().get(0).notes());
  }

  @Test
  void takesWithoutNotesHaveCellsWithoutNotes() throws IOException {
    Sheet sheet =
        read(
            """
            library: Larkfell
            takes:
              - {file: a.wav, articulation: hit, kind: unpitched, round_robins: 2, order: [rr, dynamic]}
              - {file: b.wav, articulation: run, kind: phrase}
              - {file: c.wav, articulation: fall, kind: glide, dynamics: [f]}
              - {file: d.wav, articulation: rise, kind: glide, notes: [C4]}
            """);
    assertEquals(
        List.of(
            new Cell(0, "hit", null, "mf", 1),
            new Cell(0, "hit", null, "mf", 2),
            new Cell(1, "run", null, "mf", 1),
            new Cell(2, "fall", null, "f", 1),
            new Cell(3, "rise", 60, "mf", 1)),
        sheet.cells());
  }

  private static final String HEAD = "library: Larkfell\ntakes:\n  - file: a.wav\n";
  private static final String TAKE = HEAD + "    articulation: sustain\n    notes: A4\n";

  static List<Arguments> refused() {
    return List.of(
        // Keys.
        Arguments.of(
            HEAD + "    artculation: x\n    notes: A4\n",
            ":4: `artculation` is not a key of a take; did you mean `articulation`?"),
        Arguments.of(
            "libary: x\n" + TAKE, ":1: `libary` is not a key of a sheet; did you mean `library`?"),
        Arguments.of(
            TAKE + "    fixes:\n      - {at: 12,5, note: A4}\n",
            ":7: `5` is not a key of a fix; write decimals with a point, such as 12.5"),
        Arguments.of(
            TAKE + "output:\n  samplerate: 1\n",
            ":7: `samplerate` is not a key of `output`; did you mean `sample_rate`?"),
        Arguments.of(
            TAKE + "layers:\n  - name: a\n    impuls: x\n",
            ":8: `impuls` is not a key of a layer; did you mean `impulse`?"),
        Arguments.of(
            TAKE + "layers:\n  - name: a\n  - name: b\n    chain:\n      - {higpass: 3}\n",
            ":10: `higpass` is not a key of a chain; did you mean `high_pass`?"),
        Arguments.of(
            TAKE + "<<: x\n", ":6: `<<` is not a key of a sheet; use one of `library`, `about`,"),
        Arguments.of(
            TAKE + "    notes: A5\n", ":6: `notes` stands twice, first on line 5; leave one out"),
        Arguments.of(TAKE + "[a]: b\n", ":6: a key must be a word"),
        // The misspelt key says more than the missing one, although it stands behind it.
        Arguments.of(
            HEAD + "    notes: A4\n    roundrobins: 2\n",
            ":5: `roundrobins` is not a key of a take; did you mean `round_robins`?"),
        // What is missing.
        Arguments.of(
            "takes: [{file: a, articulation: b, kind: phrase}]\n",
            ":1: `library` is missing; write library: NAME"),
        Arguments.of(
            "library: x\n",
            ":1: `takes` is missing; write takes: [{file: a.wav, articulation: "
                + "sustain, notes: G3..A5}]"),
        Arguments.of(
            "library: x\ntakes:\n  - articulation: x\n    notes: A4\n", ":3: `file` is missing"),
        Arguments.of(HEAD + "    notes: A4\n", ":3: `articulation` is missing"),
        Arguments.of(HEAD + "    articulation: x\n", ":3: `notes` is missing"),
        Arguments.of("library:\n" + TAKE.substring(18), ":1: `library` is empty or has an empty"),
        Arguments.of(TAKE + "layers: [{impulse: a.wav}, {name: b}]\n", ":6: `name` is missing"),
        // Types and ranges.
        Arguments.of(
            TAKE + "tuning_hz: 1:30\n",
            ":6: `tuning_hz` is \"1:30\", which is not a number; give a number from "
                + "392 to 466 Hz"),
        Arguments.of(
            TAKE + "tuning_hz: 500\n",
            ":6: `tuning_hz` is 500, which is out of range; give a number from 392 to " + "466 Hz"),
        Arguments.of(
            TAKE + "tuning_hz: [440]\n",
            ":6: `tuning_hz` is a list, and must be a number; write one without " + "brackets"),
        Arguments.of(
            TAKE + "middle_c: C2\n",
            ":6: `middle_c` is \"C2\", and must be one of C3, C4, C5; did you mean C3?"),
        Arguments.of(
            TAKE + "accidentals: flats\n",
            ":6: `accidentals` is \"flats\", and must be one of sharp, flat; did you "
                + "mean flat?"),
        Arguments.of(
            TAKE + "sharp_sign: #\n",
            ":6: `sharp_sign` is empty or has an empty item, as a # after a space begins a comment;"),
        Arguments.of(
            TAKE + "output: {sample_rate: 44.1}\n",
            ":6: `sample_rate` is 44.1, which is out of range; give a whole number "
                + "from 8000 to 192000 Hz"),
        Arguments.of(
            TAKE + "output: {bit_depth: 20}\n",
            ":6: `bit_depth` is \"20\", and must be one of 16, 24, 32; did you mean 24?"),
        Arguments.of(
            TAKE + "output: 24\n",
            ":6: `output` is \"24\", and must be a mapping; write it like " + "{sample_rate: ...}"),
        Arguments.of(TAKE + "output: {}\n", ":6: `output` is empty"),
        Arguments.of(
            TAKE + "    round_robins: 0\n",
            ":6: `round_robins` is 0, which is out of range; give a whole number from "
                + "1 to 999"),
        Arguments.of(
            TAKE + "    round_robins: yes\n",
            ":6: `round_robins` is \"yes\", which is not a number; give a whole number "
                + "from 1 to 999"),
        Arguments.of(
            TAKE + "    kind: pitch\n",
            ":6: `kind` is \"pitch\", and must be one of pitched, unpitched, phrase, "
                + "glide, cluster; did you mean pitched?"),
        Arguments.of(
            TAKE + "    tempo_bpm: fast\n",
            ":6: `tempo_bpm` is \"fast\", which is not a number; give a number from 10 "
                + "to 400 beats per minute"),
        Arguments.of(
            TAKE + "    lead_in_ms: 1001\n",
            ":6: `lead_in_ms` is 1001, which is out of range; give a number from 0 to "
                + "1000 ms"),
        Arguments.of(
            "lead_in_ms: -1\n" + TAKE,
            ":1: `lead_in_ms` is -1, which is out of range; give a number from 0 to " + "1000 ms"),
        Arguments.of(
            TAKE + "    keep:\n      - 1\n      - soon\n",
            ":8: `keep` holds \"soon\", which is not a time in the take;"),
        Arguments.of(
            TAKE + "    keep: [1:62]\n",
            ":6: `keep` holds \"1:62\", which is not a time in the take;"),
        Arguments.of(
            TAKE + "    keep: [1:2]\n",
            ":6: `keep` holds \"1:2\", which is not a time in the take;"),
        Arguments.of(
            TAKE + "    drop: [-3]\n", ":6: `drop` holds \"-3\", which is not a time in the take;"),
        Arguments.of(
            TAKE + "    drop: [3-]\n", ":6: `drop` holds \"3-\", which is not a time in the take;"),
        Arguments.of(
            TAKE + "    drop: [5-3]\n",
            ":6: `drop` holds the range 5-3, which ends before it begins; correct its " + "times"),
        Arguments.of(
            TAKE + "    keep: [61]\n    drop: [1:00-1:02]\n",
            ":7: `drop` names 1:00-1:02, which is kept on line 6; take one of them out"),
        Arguments.of(TAKE + "    keep: []\n", ":6: `keep` is an empty list"),
        Arguments.of(
            TAKE + "    bars: 2\n", ":6: `bars` needs `tempo_bpm`; add that or leave this out"),
        Arguments.of(
            TAKE + "    dynamics: p\n",
            ":6: `dynamics` is \"p\", and must be a list; begin each item with - or "
                + "write [ ]"),
        Arguments.of(TAKE + "    dynamics: []\n", ":6: `dynamics` is an empty list"),
        Arguments.of(
            TAKE + "    dynamics: [p, f, p]\n",
            ":6: `dynamics` has p twice; leave one out, or raise `round_robins`"),
        Arguments.of(
            TAKE + "    dynamics:\n      - p\n      -\n", ":8: `dynamics` is empty or has"),
        Arguments.of(
            TAKE + "    dynamics: [p, [f]]\n",
            ":6: `dynamics` is a list, and must be a text; write one without brackets"),
        Arguments.of(
            TAKE + "    order: [note, dynamics, rr]\n",
            ":6: `order` is \"dynamics\", and must be one of note, dynamic, rr; did you mean dynamic?"),
        Arguments.of(
            TAKE + "    order: [note, rr]\n",
            ":6: `order` does not hold note, dynamic and rr, each once; write them "
                + "slowest first: [note, dynamic, rr]"),
        Arguments.of(
            TAKE + "    order: [note, rr, rr]\n",
            ":6: `order` does not hold note, dynamic and rr, each once; write them "
                + "slowest first: [note, dynamic, rr]"),
        Arguments.of(
            TAKE + "    files: {close: b.wav}\n",
            ":6: `files` and `file` are both given; leave one out"),
        Arguments.of("library: x\ntakes: []\n", ":2: `takes` is an empty list"),
        Arguments.of(
            "library: x\ntakes: a.wav\n",
            ":2: `takes` is \"a.wav\", and must be a list; begin each item with - or "
                + "write [ ]"),
        Arguments.of(
            "library: x\ntakes: [a.wav]\n",
            ":2: `takes` is \"a.wav\", and must be a mapping; write it like {file: ...}"),
        // Notes.
        Arguments.of(
            HEAD + "    articulation: x\n    notes: [A4,\n      C10]\n",
            ":6: `notes` holds a word that is beyond the keys: \"C10\"; give a note "
                + "from C-1 to G9, where middle C is C4"),
        Arguments.of(
            HEAD + "    articulation: x\n    notes: C4..H4\n",
            ":5: `notes` holds a word that is not a note: \"H4\"; write it like C4, "
                + "F#3, Bb2 or C-1"),
        Arguments.of(
            HEAD + "    articulation: x\n    notes: G3..A5/0\n",
            ":5: `notes` has a step that is not a whole number: \"G3..A5/0\";"),
        Arguments.of(
            HEAD + "    articulation: x\n    notes: [C4, B#3]\n",
            ":5: `notes` has C4 twice; leave one out, or raise `round_robins`"),
        Arguments.of(HEAD + "    articulation: x\n    notes: []\n", ":5: `notes` is an empty list"),
        Arguments.of(
            HEAD + "    articulation: x\n    notes:\n      - F #1\n      - G1\n",
            ":6: `notes` holds a word that is not a note: \"F\";"),
        Arguments.of(
            HEAD + "    articulation: x\n    notes:\n      - #F1\n      - G1\n",
            ":6: `notes` is empty or has an empty item, as a # after a space begins a comment;"),
        Arguments.of(
            HEAD + "    articulation: x\n    notes: [F #1, G1]\n    round_robins: 2\n",
            ":5: a # after a space begins a comment, so what is open here is not closed"),
        Arguments.of(
            TAKE + "    kind: unpitched\n",
            ":5: `notes` cannot be given in a take of kind unpitched; leave them out"),
        // Names and layers.
        Arguments.of(
            TAKE + "name: \"{library}_{noet}\"\n",
            ":6: `name` holds the unknown field {noet}; did you mean {note}?"),
        Arguments.of(
            TAKE + "name: {library}_{note}\n",
            ":6: a text that begins with { must stand in quotes"),
        Arguments.of(
            TAKE + "name: {library}\n",
            ":6: `name` is a mapping, and must be a text; put a text that begins with "
                + "{ in quotes"),
        Arguments.of(
            TAKE + "layers:\n  - name: a\n  - name: a\n",
            ":8: `layers` has \"a\" twice, first on line 7; give it another name, or "
                + "each its own `articulations`"),
        Arguments.of(
            TAKE + "layers:\n  - {name: a, impulse: b.wav}\n",
            ":6: `layers` lacks the recording itself: a layer without `impulse`, "
                + "`room` and `chain`;"),
        Arguments.of(
            TAKE + "layers:\n  - {name: a, wet_db: 3}\n",
            ":7: `wet_db` needs `impulse` or `room`; add one or leave this out"),
        Arguments.of(
            TAKE + "layers:\n  - name: a\n  - {name: b, impulse: x, chain: [{low_pass: 99}]}\n",
            ":8: `chain` and `impulse` are both given; make it two layers"),
        Arguments.of(
            TAKE + "layers:\n  - name: a\n  - {name: b, chain: [{low_pass: 9}]}\n",
            ":8: `low_pass` is 9, which is out of range; give a number from 10 to " + "20000 Hz"),
        Arguments.of(
            TAKE + "layers:\n  - name: a\n  - {name: b, chain: [{low_pass: 99, high_pass: 20}]}\n",
            ":8: `chain` has an item of 2 effects; begin each effect with -, or write "
                + "each in braces of its own"),
        Arguments.of(
            TAKE + "layers:\n  - name: a\n  - {name: b, chain: [{delay: {feedback: 1}}]}\n",
            ":8: `time_ms` is missing"),
        Arguments.of(
            "library: x\nlayers: [{name: close}]\ntakes:\n  - articulation: x\n    notes: A4\n"
                + "    files:\n      clsoe: a.wav\n",
            ":7: `files` names \"clsoe\", which is not a recorded layer of `layers`; "
                + "did you mean \"close\"?"),
        Arguments.of(
            "library: x\ntakes:\n  - articulation: x\n    notes: A4\n"
                + "    files: {a: a.wav, b: a.wav}\n",
            ":5: `files` names \"a.wav\" for two layers; give each layer a file or channels of its own"),
        Arguments.of(
            TAKE + "  - {file: b.wav, articulation: sustain, notes: G4..B4}\n",
            ":6: sustain A4 mf round robin 1 is asked for by the take on line 3 too"),
        Arguments.of(
            TAKE
                + "    kind: pitched\n    round_robins: 999\n"
                + "  - {file: b.wav, articulation: y, notes: C0..B8, round_robins: 999}\n",
            ":8: the sheet asks for more than 100000 samples"),
        // Not a sheet at all.
        Arguments.of("", ": is empty; begin with library: NAME, then takes:"),
        Arguments.of("# only a remark\n", ": is empty; begin with library: NAME, then takes:"),
        Arguments.of(
            "just words\n",
            ":1: is not a sheet, which is a mapping with at least `library` and "
                + "`takes`; begin with library: NAME"),
        Arguments.of(
            "- a\n- b\n",
            ":1: is not a sheet, which is a mapping with at least `library` and "
                + "`takes`; begin with library: NAME"),
        Arguments.of(
            "library: x\ntakes:\n\t- file: a.wav\n", ":3: a tab cannot stand here; indent with"),
        Arguments.of("library: \"x\ntakes: y\n", "is not YAML: "),
        Arguments.of("library: x\ntakes: [\n  {file: a.wav,\n", "the list or mapping that begins"),
        Arguments.of(
            "library: a: b\n",
            ":1: a \": \" stands where none can be; put a text that holds \": \" in "
                + "quotes, or correct the indentation"),
        Arguments.of(TAKE + "---\nlibrary: y\n", ":6: a second document begins here"),
        Arguments.of(TAKE + "#\u0007\n", ":6: holds the unprintable character U+0007"),
        Arguments.of("library: x\ntakes: " + "[".repeat(30) + "]".repeat(30), "is not a sheet: "));
  }

  @ParameterizedTest
  @MethodSource
  void refused(String text, String message) throws IOException {
    String said = refusal(text);
    assertTrue(
        message.startsWith(":")
            ? said.startsWith("sheet.yaml" + message)
            : said.startsWith("sheet.yaml:") && said.contains(message),
        said);
  }

  /** Aliases that stand forever longer lists are stopped before they are unfolded. */
  @Test
  void refusesAliasesThatMultiply() throws IOException {
    StringBuilder text = new StringBuilder("library: x\na0: &a0 [x, x]\n");
    for (int i = 1; i < 40; i++) {
      text.append(("a" + i + ": &a" + i + " [*a" + (i - 1) + ", *a" + (i - 1) + "]\n"));
    }
    assertTrue(refusal(text.toString()).contains("is not a sheet: "));
    assertTrue(
        refusal("library: x\ntakes: &a [*a]\n")
            .contains(":2: `takes` is a list, and must be a mapping"));
  }

  @Test
  void aliasesMayShareWhatIsTheSame() throws IOException {
    Sheet sheet =
        read(
            """
            library: x
            takes:
              - {file: a.wav, articulation: a, notes: &all [C4, E4], dynamics: &both [p, f]}
              - {file: b.wav, articulation: b, notes: *all, dynamics: *both}
            """);
    assertEquals(sheet.takes().get(0).notes(), sheet.takes().get(1).notes());
    assertEquals(8, sheet.cells().size());
  }

  @Test
  void refusesWhatIsNoTextFile() throws IOException {
    Path file = folder.resolve("sheet.yaml");
    Files.write(file, "library: x\n# \u00e9\n".getBytes(StandardCharsets.ISO_8859_1));
    var e = assertThrows(SheetException.class, () -> SheetReader.read(file));
    assertEquals("sheet.yaml:2: is not UTF-8 text; save it as UTF-8", e.getMessage());
    Files.write(file, new byte[(1 << 20) + 1]);
    e = assertThrows(SheetException.class, () -> SheetReader.read(file));
    assertTrue(e.getMessage().startsWith("sheet.yaml: is larger than 1 MiB"), e.getMessage());
    Files.delete(file);
    e = assertThrows(SheetException.class, () -> SheetReader.read(file));
    assertEquals("sheet.yaml: does not exist; correct the path", e.getMessage());
    assertEquals(0, e.line());
    e = assertThrows(SheetException.class, () -> SheetReader.read(folder));
    assertTrue(e.getMessage().contains("is a folder"), e.getMessage());
  }

  @Test
  void passesOverAByteOrderMark() throws IOException {
    assertEquals("Larkfell", read("\uFEFF" + TAKE).library());
  }

  /**
   * Whatever a slip of the hand makes of a sheet, it is a sheet, or one line says where it is not.
   */
  @Property(tries = 500)
  void anySlipIsASheetOrOneLine(
      @ForAll @IntRange(max = 1200) int at,
      @ForAll @IntRange(max = 12) int cut,
      @ForAll("slips") String put)
      throws IOException {
    int from = Math.min(at, FULL.length());
    String text =
        FULL.substring(0, from) + put + FULL.substring(Math.min(FULL.length(), from + cut));
    Path file = Files.createTempFile("sheet", ".yaml");
    try {
      Files.writeString(file, text);
      SheetReader.read(file);
    } catch (SheetException e) {
      String start = java.util.regex.Pattern.quote(file.getFileName().toString());
      assertTrue(e.getMessage().matches(start + "(:[1-9][0-9]*)?: [^\n]+"), e.getMessage());
    } finally {
      Files.delete(file);
    }
  }

  @Provide
  Arbitrary<String> slips() {
    return Arbitraries.of(
        "", " ", "\n", "\t", ":", ": ", "#", " #", "[", "]", "{", "}", "\"", "'", "- ", "&a ", "*a",
        "!!int ", "!x ", "? ", "|", ">", "%", "@", "---\n", "...\n", "~", "\u0000", "é", "a: 1\n",
        "\uFEFF");
  }

  @Test
  void aTakeMayNameItsRoomTone() throws IOException {
    assertEquals(List.of(12.0, 14.5), roomTone("[12.0, 14.5]"));
    assertEquals(List.of(62.5, 65.0), roomTone("[\"1:02.5\", 65]"));
    for (String wrong : List.of("[12.0]", "[14.5, 12.0]", "[1, 1.2]", "[a, b]", "[1, 2, 3]")) {
      SheetException e = assertThrows(SheetException.class, () -> roomTone(wrong), wrong);
      assertTrue(e.getMessage().contains("room_tone"), e.getMessage());
    }
  }

  private List<Double> roomTone(String value) throws IOException {
    Path file = folder.resolve("tone.yaml");
    java.nio.file.Files.writeString(
        file,
        "library: X\ntakes:\n  - {file: a.wav, articulation: hit, kind: unpitched, room_tone: "
            + value
            + "}\n");
    return SheetReader.read(file).takes().get(0).roomTone();
  }
}
