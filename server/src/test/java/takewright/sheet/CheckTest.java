package takewright.sheet;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.AudioFile;
import takewright.audio.BadAudioException;
import takewright.audio.WavChunks;
import takewright.diagnosis.Problem;

class CheckTest {
  @TempDir Path folder;

  private final Map<String, AudioFile> audio = new HashMap<>();

  /** A file whose header says this; a rate of 0: not audio. */
  private void file(String name, int sampleRate, long frames) throws IOException {
    Files.createFile(folder.resolve(name));
    audio.put(name, sampleRate == 0 ? null : new Header(sampleRate, frames));
  }

  private CheckReport check(String sheet) throws IOException {
    Path file = Files.writeString(folder.resolve("sheet.yaml"), sheet);
    return Check.apply(
        file,
        path -> {
          AudioFile header = audio.get(path.getFileName().toString());
          if (header == null) {
            throw new BadAudioException(path.getFileName() + " is not audio; export it as WAV");
          }
          return header;
        });
  }

  private record Header(int sampleRate, long frames) implements AudioFile {
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
    assertEquals(List.of(), report.problems());
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
    List<String> errors =
        report.problems().stream()
            .filter(p -> p.severity() == Problem.Severity.ERROR)
            .map(p -> p.line() + " " + p.message())
            .toList();
    assertEquals(
        List.of(
            "2 impulse of layer room none.wav does not exist; correct `impulse`, a path"
                + " relative to the sheet, or put the file there",
            "4 b.wav has 44100 frames a second, a.wav has 48000; microphones of one take must be"
                + " recorded together",
            "4 c.wav has 47999 frames, a.wav has 48000; microphones of one take must begin and end"
                + " together, so export them anew",
            "5 take bad.wav cannot be read: bad.wav is not audio; export it as WAV",
            "6 take empty.wav holds no audio; export it anew",
            "7 take folder.wav is a folder; name an audio file under `file`",
            "8 unknown key `artic`; did you mean `articulation`?",
            "8 take gone.wav does not exist; correct `file`, a path relative to the"
                + " sheet, or put the file there"),
        errors);
    assertTrue(report.hasErrors());
    assertTrue(
        report
            .problems()
            .contains(
                Problem.warning(
                    5,
                    "take bad.wav has no file for layer \"far\", so its samples lack it; name one"
                        + " under `files`")));
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
            Problem.error(
                2,
                "two samples would be named \"Larkfell_C4\" (rr 1 and 2); add {rr} to the name"
                    + " pattern")),
        report.problems());
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
    assertTrue(report.problems().get(0).message().contains("(dynamic f and F)"));
    assertTrue(report.hasErrors());
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
            Problem.warning(
                3,
                "take a.wav is 15.0 s long, too short for the 6 samples it should hold (24.0 s at"
                    + " least); check its notes, dynamics, round_robins, tempo_bpm and bars"),
            Problem.warning(
                4,
                "take b.wav is 1.0 s long, too short for the 12 samples it should hold (1.2 s at"
                    + " least); check its notes, dynamics, round_robins")),
        report.problems());
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
            Problem.warning(
                6,
                "`keep`: 1:02.5 lies behind the end of a.wav, which is 60.0 s long; correct the"
                    + " time")),
        report.problems());
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
            Problem.warning(
                4,
                "a.wav is a file of the take on line 3 too; correct one of them if that is not"
                    + " meant")),
        report.problems());
  }

  @Test
  void aSheetThatIsNoneIsAProblemToo() throws IOException {
    assertEquals(
        List.of(Problem.error(2, "a tab cannot stand here; indent with spaces")),
        check("takes:\n\t- x\n").problems());
    assertEquals(
        List.of(Problem.error(0, "does not exist; give the path of a sheet")),
        Check.apply(folder.resolve("none.yaml")).problems());
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
