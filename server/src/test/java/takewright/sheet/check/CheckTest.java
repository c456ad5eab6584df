package takewright.sheet.check;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.AudioFile;
import takewright.audio.BadAudioException;
import takewright.audio.WavChunks;

class CheckTest {
  @TempDir Path folder;

  private final Map<String, AudioFile> audio = new HashMap<>();

  /** A file whose header says this; a rate of 0: not audio. */
  private void file(String name, int sampleRate, long frames) throws IOException {
    Files.createFile(folder.resolve(name));
    audio.put(name, sampleRate == 0 ? null : new TakeHeader(sampleRate, frames));
  }

  private CheckReport check(String sheet) throws IOException {
    Path file = Files.writeString(folder.resolve("sheet.yaml"), sheet);
    return Check.apply(
        file,
        named -> named,
        recording -> {
          Path path = recording.firstFile();
          AudioFile header = audio.get(path.getFileName().toString());
          if (header == null) {
            throw new BadAudioException(path.toString(), "is not audio", "export it as WAV");
          }
          return header;
        });
  }

  private static List<String> told(CheckReport report) {
    return report.problems().stream()
        .map(p -> p.severity().name().toLowerCase(Locale.ROOT) + " " + p.line() + " " + p.message())
        .toList();
  }

  private record TakeHeader(int sampleRate, long frames) implements AudioFile {
    @Override
    public int channels() {
      return 1;
    }

    @Override
    public int bitDepth() {
      return 24;
    }

    @Override
    public boolean floatingPoint() {
      return false;
    }

    @Override
    public String container() {
      return "WAV";
    }

    @Override
    public WavChunks chunks() {
      return WavChunks.NONE;
    }

    @Override
    public void seek(long frame) {}

    @Override
    public int read(float[][] planar, int offset, int count) {
      return -1;
    }

    @Override
    public void close() {}
  }

  @Test
  void aGoodSheetHasNoProblems() throws IOException {
    file("a.wav", 48_000, 48_000 * 30);
    file("b.wav", 48_000, 48_000 * 30);
    file("c.wav", 44_100, 44_100 * 10);
    file("d.wav", 44_100, 44_100 * 10);
    file("ir.wav", 48_000, 48_000);
    CheckReport report =
        check(
            """
            library: Larkfell
            layers: [{name: close}, {name: overhead}, {name: room, impulse: ir.wav}]
            takes:
              - files: {close: a.wav, overhead: b.wav}
                articulation: sustain
                notes: C4..E4
                dynamics: [p, f]
              - {files: {close: c.wav, overhead: d.wav}, articulation: hit, kind: unpitched}
            """);
    assertEquals(List.of(), told(report));
    assertFalse(report.hasErrors());
    assertEquals(11, report.cells());
    assertEquals(2, report.takes());
    assertEquals(40, report.durationS(), 1e-9);
  }

  @Test
  void saysEverythingAtOnceByLine() throws IOException {
    file("a.wav", 48_000, 48_000);
    file("b.wav", 44_100, 44_100);
    file("c.wav", 48_000, 47_999);
    file("bad.wav", 0, 0);
    file("empty.wav", 48_000, 0);
    Files.createDirectory(folder.resolve("folder.wav"));
    CheckReport report =
        check(
            """
            library: Larkfell
            layers: [{name: close}, {name: far}, {name: top}, {name: room, impulse: none.wav}]
            takes:
              - {files: {close: a.wav, far: b.wav, top: c.wav}, articulation: a, notes: C4}
              - {file: bad.wav, articulation: b, notes: C4}
              - {file: empty.wav, articulation: c, notes: C4}
              - {file: folder.wav, articulation: d, notes: C4}
              - {file: gone.wav, articulation: e, notes: C4, artic: x}
            """);
    assertEquals(
        List.of(
            "error 2 `impulse` names none.wav, which does not exist; correct"
                + " the path, which counts from the folder of the sheet, or put the file there",
            "error 4 `files` holds a.wav with 48000 frames per second and b.wav with 44100; name"
                + " only microphones that were recorded together",
            "error 4 `files` holds a.wav with 48000 frames and c.wav with 47999; export the"
                + " microphones of a take so that they begin and end together",
            "error 5 `file` names bad.wav, which is not audio; export it as WAV",
            "error 6 `file` names empty.wav, which holds no audio; export it again",
            "error 7 `file` names folder.wav, which is a folder; name an audio file",
            "error 8 `artic` is not a key of a take; did you mean `articulation`?",
            "error 8 `file` names gone.wav, which does not exist; correct the path, which"
                + " counts from the folder of the sheet, or put the file there"),
        told(report).stream().filter(line -> line.startsWith("error")).toList());
    assertTrue(report.hasErrors());
    assertTrue(
        told(report)
            .contains(
                "warning 5 `files` of take bad.wav names no file for layer \"far\", so that layer"
                    + " has no samples of it; name one"));
  }

  @Test
  void aTemplateThatCannotBeUsedIsAnErrorBeforeTheBuild() throws IOException {
    file("a.wav", 48_000, 480_000);
    Files.writeString(folder.resolve("good.mustache"), "{{#samples}}{{file}}\n{{/samples}}");
    Files.writeString(folder.resolve("open.mustache"), "{{#samples}}{{file}}");
    Files.write(folder.resolve("bytes.mustache"), new byte[] {(byte) 0xC3, 0x28});
    Files.write(folder.resolve("large.mustache"), new byte[(1 << 20) + 1]);
    CheckReport report =
        check(
            """
            library: Larkfell
            map:
              templates:
                - {file: good.mustache, out: good.txt}
                - {file: open.mustache, out: open.txt}
                - {file: bytes.mustache, out: bytes.txt}
                - {file: large.mustache, out: large.txt}
                - {file: gone.mustache, out: gone.txt}
            takes:
              - {file: a.wav, articulation: a, notes: C4}
            """);
    List<String> errors = told(report).stream().filter(line -> line.startsWith("error")).toList();
    assertEquals(4, errors.size(), errors.toString());
    assertTrue(errors.get(0).startsWith("error 5 `templates` names open.mustache, which "));
    assertEquals(
        "error 6 `templates` names bytes.mustache, which is not UTF-8; save it as UTF-8",
        errors.get(1));
    assertEquals(
        "error 7 `templates` names large.mustache, which is larger than 1 MiB; give a template",
        errors.get(2));
    assertTrue(errors.get(3).startsWith("error 8 `templates` names "), errors.get(3));
    assertTrue(errors.get(3).contains("gone.mustache, which does not exist"), errors.get(3));
  }

  @Test
  void whatCannotBeAFileNameIsNamedWithItsLine() throws IOException {
    CheckReport report =
        check(
            """
            library: Larkfell
            takes:
              - {file: "a\\0.wav", articulation: a, notes: C4}
            """);
    assertEquals(1, told(report).size(), told(report).toString());
    assertTrue(told(report).get(0).startsWith("error 3 `file` cannot be a file name: "));
  }

  @Test
  void aPatternThatLacksAFieldIsAnError() throws IOException {
    file("a.wav", 48_000, 480_000);
    CheckReport report =
        check(
            """
            library: Larkfell
            name: "{library}_{note}"
            takes:
              - {file: a.wav, articulation: a, notes: C4, round_robins: 2}
            """);
    assertEquals(
        List.of(
            "error 2 `name` gives two samples the name \"Larkfell_C4\" (rr 1 and 2); add "
                + "{rr} to the name pattern"),
        told(report));
  }

  /** Names hold ASCII; what has none is told by the key that says it. */
  @Test
  void aTextThatNoNameCanHoldIsToldByItsKey() throws IOException {
    file("a.wav", 48_000, 480_000);
    CheckReport report =
        check(
            """
            library: Larkfell
            takes:
              - {file: a.wav, articulation: "\u64e6", notes: C4}
            """);
    assertEquals(1, told(report).size(), told(report).toString());
    assertTrue(
        told(report).get(0).startsWith("error 0 `articulation` holds nothing that may stand in"),
        told(report).toString());
  }

  @Test
  void dynamicsThatDifferInCaseOnlyClash() throws IOException {
    file("a.wav", 48_000, 480_000);
    CheckReport report =
        check(
            """
            library: Larkfell
            takes:
              - {file: a.wav, articulation: a, notes: C4, dynamics: [f, F]}
            """);
    assertTrue(told(report).get(0).contains("(dynamic f and F)"));
    assertTrue(report.hasErrors());
  }

  /** It need not hold all of its cells, which count once although two takes ask for them. */
  @Test
  void aPickUpMayBeShort() throws IOException {
    file("a.wav", 48_000, 48_000 * 60);
    file("b.wav", 48_000, 48_000);
    CheckReport report =
        check(
            """
            library: Larkfell
            takes:
              - {file: a.wav, articulation: a, notes: C4..B4, dynamics: [p, f]}
              - {file: b.wav, articulation: a, fills: gaps}
            """);
    assertEquals(List.of(), told(report));
    assertEquals(24, report.cells());
  }

  /** That a take has no notes is no second fault where the key that would explain it is wrong. */
  @Test
  void oneFaultIsOneError() throws IOException {
    file("a.wav", 48_000, 48_000);
    for (String wrong :
        List.of("knd: unpitched", "kind: unpiched", "fillls: any", "fills: al", "nots: C4")) {
      CheckReport report =
          check(
              """
              library: Larkfell
              takes:
                - {file: a.wav, articulation: tap, WRONG}
              """
                  .replace("WRONG", wrong));
      List<String> errors = told(report).stream().filter(line -> line.startsWith("error")).toList();
      assertEquals(1, errors.size(), errors.toString());
      String key = wrong.substring(0, wrong.indexOf(':'));
      assertTrue(errors.get(0).startsWith("error 3 `" + key + "` is "), errors.toString());
    }
  }

  /** The nearest articulation is named where there is nothing to fill. */
  @Test
  void aPickUpNeedsATakeToFill() throws IOException {
    file("a.wav", 48_000, 48_000 * 60);
    file("b.wav", 48_000, 48_000);
    CheckReport report =
        check(
            """
            library: Larkfell
            takes:
              - {file: a.wav, articulation: sustain, notes: C4..B4}
              - {file: b.wav, articulation: sustian, fills: gaps}
            """);
    assertEquals(
        List.of(
            "error 4 `fills` stands in a take of \"sustian\", of which there is no other take to"
                + " fill; did you mean \"sustain\"? Else leave it out"),
        told(report));
  }

  @Test
  void warnsOfATakeThatIsTooShort() throws IOException {
    file("a.wav", 48_000, 48_000 * 15);
    file("b.wav", 48_000, 48_000);
    CheckReport report =
        check(
            """
            library: Larkfell
            takes:
              - {file: a.wav, articulation: a, notes: C4..F4, tempo_bpm: 60, bars: 1}
              - {file: b.wav, articulation: b, notes: C4..B4}
            """);
    assertEquals(
        List.of(
            "warning 3 take a.wav is 15.0 s long, too short for the 6 samples it should hold "
                + "(24.0 s at least); check its notes, dynamics, round_robins, tempo_bpm and bars",
            "warning 4 take b.wav is 1.0 s long, too short for the 12 samples it should hold "
                + "(1.2 s at least); check its notes, dynamics, round_robins"),
        told(report));
    assertFalse(report.hasErrors());
  }

  @Test
  void warnsOfATimeBehindTheEndOfATake() throws IOException {
    file("a.wav", 48_000, 48_000 * 60);
    CheckReport report =
        check(
            """
            library: Larkfell
            takes:
              - file: a.wav
                articulation: a
                notes: C4
                keep: [12.5, 1:02.5]
                drop: [59-61]
            """);
    assertEquals(
        List.of(
            "warning 6 `keep` names 1:02.5, but a.wav is only 60.0 s long; " + "correct the time"),
        told(report));
  }

  @Test
  void warnsOfFixesThatFitNothing() throws IOException {
    file("a.wav", 48_000, 48_000 * 60);
    CheckReport report =
        check(
            """
            library: Larkfell
            takes:
              - file: a.wav
                articulation: a
                notes: C4
                fixes:
                  - {at: 12.5, cents: 3}
                  - {at: 62.5, cents: 3}
                  - {note: C4, accept: missing}
                  - {note: D4, cents: 3}
                  - {at: 3, rr: 2}
            """);
    assertEquals(
        List.of(
            "warning 8 `fixes` is about 62.5 s, but a.wav ends at 60.0 s; correct `at`",
            "warning 10 `fixes` names a cell that a.wav is not asked for; correct its `note`,"
                + " `dynamic` and `rr`",
            "warning 11 `fixes` names a cell that a.wav is not asked for; correct its `note`,"
                + " `dynamic` and `rr`"),
        told(report));
  }

  @Test
  void warnsOfAFileThatTwoTakesShare() throws IOException {
    file("a.wav", 48_000, 48_000);
    CheckReport report =
        check(
            """
            library: Larkfell
            takes:
              - {file: a.wav, articulation: a, notes: C4}
              - {file: a.wav, articulation: b, notes: C4}
            """);
    assertEquals(
        List.of(
            "warning 4 a.wav is a file of the take on line 3 too; correct one of them if "
                + "that is not meant, or say with `between` which part of it each is"),
        told(report));
  }

  @Test
  void aSheetThatIsNoneIsAProblemToo() throws IOException {
    assertEquals(
        List.of("error 2 a tab cannot stand here; indent with spaces"),
        told(check("takes:\n\t- x\n")));
    assertEquals(
        List.of("error 0 does not exist; correct the path"),
        told(Check.apply(folder.resolve("none.yaml"))));
  }

  @Test
  void writesNothing() throws IOException {
    file("a.wav", 48_000, 48_000);
    check("library: x\ntakes: [{file: a.wav, articulation: a, notes: C4}]\n");
    try (var files = Files.list(folder)) {
      assertEquals(
          List.of("a.wav", "sheet.yaml"),
          files.map(f -> f.getFileName().toString()).sorted().toList());
    }
  }
}
