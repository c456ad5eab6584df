package takewright.analyse;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.audio.Clip;
import takewright.testing.Outside;

class MeasuredLevelsTest {
  @TempDir Path folder;

  /** FFmpeg's ebur128 filter, on real recordings: 0.1 LU and 0.2 dB apart at most. */
  @ParameterizedTest
  @CsvSource({
    "violin, A4.wav",
    "contrabass, Fs1.wav",
    "saxophone, C5.wav",
  })
  void agreesWithFfmpeg(String instrument, String name) throws Exception {
    Path file = Outside.recordings(instrument).resolve(name);
    int rate = 44_100;
    Clip clip = Clip.of(rate, decoded(file, rate));
    String meter =
        output(
            "-i",
            file.toString(),
            "-af",
            "ebur128=peak=true:metadata=1,ametadata=print:file=-",
            "-f",
            "null",
            "-");

    MeasuredLevels levels = MeasuredLevels.measure(clip);
    assertEquals(last(meter, "lavfi\\.r128\\.I=(\\S+)"), levels.levelLufs(), 0.1);
    // FFmpeg prints tenths.
    assertEquals(last(meter, "Peak: +(\\S+) dBFS"), levels.peakDbtp(), 0.25);
    assertEquals(last(meter, "LRA: +(\\S+) LU"), levels.loudnessRangeLu(), 0.3);
    assertTrue(levels.momentaryMaxLufs() >= levels.levelLufs());
    MeasuredLevels streamed = MeasuredLevels.measure(clip.source());
    assertEquals(levels.levelLufs(), streamed.levelLufs(), 1e-9);
    assertEquals(levels.peakDbtp(), streamed.peakDbtp(), 1e-9);
    assertEquals(levels.floorDbfs(), streamed.floorDbfs(), 1e-9);
    assertEquals(levels.loudnessRangeLu(), streamed.loudnessRangeLu(), 1e-9);
  }

  @Test
  void silence() {
    MeasuredLevels levels =
        MeasuredLevels.measure(Clip.of(48_000, new float[48_000], new float[48_000]));
    assertEquals(
        new MeasuredLevels(Double.NaN, Double.NaN, Double.NaN, Double.NaN, -200, -200), levels);
  }

  @Test
  void nothing() {
    MeasuredLevels levels = MeasuredLevels.measure(Clip.of(48_000, new float[0]));
    assertEquals(
        new MeasuredLevels(Double.NaN, Double.NaN, Double.NaN, Double.NaN, -200, -200), levels);
  }

  private float[] decoded(Path file, int rate) throws Exception {
    Path raw = folder.resolve("samples.f32");
    output("-i", file.toString(), "-f", "f32le", "-ac", "1", "-ar", "" + rate, raw.toString());
    ByteBuffer bytes = ByteBuffer.wrap(Files.readAllBytes(raw)).order(ByteOrder.LITTLE_ENDIAN);
    float[] samples = new float[bytes.remaining() / 4];
    bytes.asFloatBuffer().get(samples);
    return samples;
  }

  private String output(String... arguments) throws IOException, InterruptedException {
    String[] command = new String[arguments.length + 4];
    command[0] = Outside.tool("ffmpeg").toString();
    command[1] = "-nostdin";
    command[2] = "-hide_banner";
    command[3] = "-nostats";
    System.arraycopy(arguments, 0, command, 4, arguments.length);
    Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
    String output = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
    assertEquals(0, process.waitFor(), output);
    return output;
  }

  private static double last(String text, String pattern) {
    Matcher matcher = Pattern.compile(pattern).matcher(text);
    String found = null;
    while (matcher.find()) {
      found = matcher.group(1);
    }
    return Double.parseDouble(found);
  }
}
