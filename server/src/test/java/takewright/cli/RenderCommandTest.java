package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import javax.sound.midi.MidiEvent;
import javax.sound.midi.MidiSystem;
import javax.sound.midi.Sequence;
import javax.sound.midi.ShortMessage;
import javax.sound.midi.Track;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;

/** Rendering as a shell meets it, of a library made by hand. */
class RenderCommandTest {
  private static final int RATE = 48_000;

  @TempDir Path folder;
  private Path library;
  private Path out;

  @BeforeEach
  void makeALibrary() throws IOException {
    library = Files.createDirectories(folder.resolve("library"));
    out = folder.resolve("out.wav");
    float[] x = new float[RATE];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (0.2 * Math.sin(2 * Math.PI * 440 * i / RATE));
    }
    WavWriter.write(library.resolve("a.wav"), Clip.of(RATE, x), 24, WavChunks.NONE);
    Files.writeString(
        library.resolve("map.csv"),
        """
        file,articulation,layer,dynamic,root,low_key,high_key,low_velocity,high_velocity,rr,rr_count,gain_db,loop_start,loop_end,release_ms
        a.wav,sustain,close,mf,69,66,72,1,127,1,1,0.00,24000,35999,250.0
        a.wav,hit,close,mf,36,36,36,1,127,1,1,0.00,,,250.0
        """);
  }

  private record Ran(int status, String out, String err) {}

  private Ran run(Object... more) {
    String[] args = new String[more.length + 3];
    args[0] = "render";
    args[1] = library.toString();
    args[2] = out.toString();
    for (int i = 0; i < more.length; i++) {
      args[i + 3] = more[i].toString();
    }
    ByteArrayOutputStream said = new ByteArrayOutputStream();
    ByteArrayOutputStream err = new ByteArrayOutputStream();
    int status = Main.run(new PrintStream(said, true), new PrintStream(err, true), args);
    return new Ran(
        status, said.toString(StandardCharsets.UTF_8), err.toString(StandardCharsets.UTF_8));
  }

  private void fails(Ran ran, String word) {
    assertEquals(2, ran.status, ran.out);
    assertEquals(1, ran.err.lines().count(), ran.err);
    assertTrue(ran.err.contains(word), ran.err);
    assertFalse(Files.exists(out));
  }

  @Test
  void thePhraseGoesOverTheWholeRange() throws IOException {
    Ran ran = run();
    assertEquals(0, ran.status, ran.err);
    assertTrue(ran.out.contains("9 of 9 notes played, sustain, close"), ran.out);
    assertTrue(ran.out.contains("turn the level down"), ran.out);
    try (AudioFile audio = AudioFile.open(out)) {
      assertEquals(2, audio.channels());
      assertTrue(audio.frames() > 9 * RATE, "one note is held for 5 s");
    }
  }

  @Test
  void notesThatCannotBePlayedAreSaid() {
    Ran ran = run("--notes", "A4 C2 F#4:2@90");
    assertEquals(0, ran.status, ran.err);
    assertTrue(ran.out.contains("2 of 3 notes played"), ran.out);
    assertTrue(ran.err.contains("not played: C2 (MIDI note 36) at 0.75 s"), ran.err);
    assertEquals(1, run("--notes", "C2 A4", "--strict", "--replace").status);
    assertEquals(0, run("--notes", "C2", "--articulation", "hit", "--strict", "--replace").status);
  }

  /** In a sheet with `middle_c: C3`, A3 is what others call A4. */
  @Test
  void notesAreNamedAsTheLibraryNamesThem() throws IOException {
    Path map = library.resolve("map.csv");
    Files.writeString(
        map,
        Files.readString(map)
            .replace(",root,", ",note,root,")
            .replace(",mf,69,", ",mf,A3,69,")
            .replace(",mf,36,", ",mf,C1,36,"));
    Ran ran = run("--notes", "A3 C1");
    assertTrue(ran.out.contains("1 of 2 notes played"), ran.out + ran.err);
    assertTrue(ran.err.contains("not played: C1 (MIDI note 36) at 0.75 s"), ran.err);
    Files.delete(out);
    fails(run("--notes", "A4"), "play notes from F#3 to C4");
  }

  @Test
  void notesThatRunOutAreSaid() {
    Ran ran = run("--notes", "C2:3", "--articulation", "hit");
    assertEquals(0, ran.status, ran.err);
    assertTrue(ran.err.contains("ran out: C2 at 0.25 s sounded for 1.00 of 3.00 s"), ran.err);
    assertEquals(
        1, run("--notes", "C2:3", "--articulation", "hit", "--strict", "--replace").status);
  }

  @Test
  void aMidiFileIsPlayed() throws Exception {
    Sequence sequence = new Sequence(Sequence.PPQ, 480);
    Track track = sequence.createTrack();
    track.add(new MidiEvent(new ShortMessage(ShortMessage.NOTE_ON, 0, 70, 100), 0));
    track.add(new MidiEvent(new ShortMessage(ShortMessage.NOTE_OFF, 0, 70, 0), 4800));
    Path file = folder.resolve("a.mid");
    MidiSystem.write(sequence, 0, file.toFile());
    Ran ran = run("--midi", file);
    assertEquals(0, ran.status, ran.err);
    try (AudioFile audio = AudioFile.open(out)) {
      // Held for five seconds by its loop, then a quarter of a second of release.
      assertEquals(5.25 * RATE, audio.frames(), 100);
    }
  }

  @Test
  void saysInOneLineWhatIsWrong() throws IOException {
    fails(run("--notes", "H9"), "--notes is not a note: \"H9\"");
    fails(run("--articulation", "sustian"), "did you mean sustain?");
    fails(run("--layer", "rom"), "--layer is not in the map: rom");
    fails(run("--midi", library.resolve("a.wav")), "is not a Standard MIDI File");
    fails(run("--notes", "A4:700"), "at most 600 s are allowed");
    Files.delete(library.resolve("a.wav"));
    fails(run(), "does not exist, and map.csv names it");
    Files.writeString(library.resolve("map.csv"), "file,root\na.wav,200\n");
    fails(run(), "`articulation` is missing");
    Files.delete(library.resolve("map.csv"));
    fails(run(), "has no key map");
  }

  @Test
  void aSampleIsNeverWrittenOver() {
    Path sample = library.resolve("a.wav");
    ByteArrayOutputStream err = new ByteArrayOutputStream();
    int status =
        Main.run(
            new PrintStream(new ByteArrayOutputStream(), true),
            new PrintStream(err, true),
            "render",
            library.toString(),
            sample.toString(),
            "--replace");
    assertEquals(2, status);
    assertTrue(err.toString(StandardCharsets.UTF_8).contains("is a file of the library"));
  }
}
