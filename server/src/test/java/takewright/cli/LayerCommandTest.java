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
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;

class LayerCommandTest {
  private static final int RATE = 8000;

  @TempDir Path folder;
  private Path note;
  private Path out;

  @BeforeEach
  void writeANote() throws IOException {
    note = folder.resolve("note.wav");
    out = folder.resolve("out.wav");
    float[] x = new float[RATE];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (0.2 * Math.sin(0.3 * i) * Math.exp(-4.0 * i / RATE));
    }
    WavWriter.write(note, Clip.of(RATE, x), 24, WavChunks.NONE);
  }

  private record Ran(int status, String out, String err) {}

  private Ran layer(String... more) {
    String[] args = new String[more.length + 3];
    args[0] = "layer";
    args[1] = note.toString();
    args[2] = out.toString();
    System.arraycopy(more, 0, args, 3, more.length);
    ByteArrayOutputStream said = new ByteArrayOutputStream();
    ByteArrayOutputStream err = new ByteArrayOutputStream();
    int status = Main.run(new PrintStream(said, true), new PrintStream(err, true), args);
    return new Ran(
        status, said.toString(StandardCharsets.UTF_8), err.toString(StandardCharsets.UTF_8));
  }

  @Test
  void writesALayer() throws IOException {
    Ran ran =
        layer(
            "--room",
            "8x6x3",
            "--absorption",
            "0.3",
            "--wet-db",
            "-9",
            "--chain",
            "[{high_pass: 100}, {delay: {note: 1/8, feedback: 0.3}}, {reverb: {decay_s: 1}},"
                + " {reverse: true}, {low_shelf: {hz: 200, gain_db: -3}}, {width: 1.2}, {gain:"
                + " -2}]",
            "--tempo-bpm",
            "90");
    assertEquals(0, ran.status, ran.err);
    try (AudioFile audio = AudioFile.open(out)) {
      assertEquals(2, audio.channels());
      assertTrue(ran.out.contains(audio.frames() + " frames"), ran.out);
      assertTrue(audio.frames() > RATE);
    }
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "--chain|[{higpass: 3}]|--chain: `higpass` is not a key of a chain; did you mean `high_pass`?",
        "--chain|[{reverb: {decay: 3}}]|did you mean `decay_s`?",
        "--chain|high|--chain is \"high\", and must be a list",
        "--chain|[{high_pass: low}]|--chain: `high_pass` is \"low\", which is not a number",
        "--chain|[{delay: {note: 1/8}}]|--tempo-bpm",
        "--chain|[{delay: {feedback: 0.2}}]|--chain: `time_ms` is missing",
        "--chain|[{gain: 99}]|--chain: `gain` is 99, which is out of range; give a number from -60 to 24",
        "--chain|[|--chain ",
        "--wet-db|13|--wet-db is 13, which is out of range",
        "--room|8x6|LxWxH",
        "--room|1.2.3x4x5|LxWxH",
        "--room|.x4x5|LxWxH",
        "--room|800x6x3|--room: `length_m` is 800, which is out of range; give a number from 2 to 100",
        "--impulse|none.wav|--impulse does not exist"
      })
  void saysInOneLineWhatIsWrong(String option, String value, String word) {
    Ran ran = layer(option, value);
    assertEquals(2, ran.status, ran.out);
    assertEquals(1, ran.err.lines().count(), ran.err);
    assertTrue(ran.err.contains(word), ran.err);
    assertFalse(Files.exists(out));
  }
}
