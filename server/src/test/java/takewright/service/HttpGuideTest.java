package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;

/**
 * The curl lines of the operator's guide, run as they stand but for the user's home and the ports.
 */
class HttpGuideTest {
  @TempDir Path home;

  @Test
  void theLinesOfTheGuideWork() throws Exception {
    home = home.toRealPath();
    Path takes = Files.createDirectory(home.resolve("takes"));
    Path libraries = Files.createDirectory(home.resolve("libraries"));
    WavWriter.write(takes.resolve("tremolo.wav"), Calls.note(48_000, 220), 24, WavChunks.NONE);
    Files.writeString(
        takes.resolve("larkfell.yaml"),
        """
        library: Larkfell
        takes:
          - {file: tremolo.wav, articulation: tremolo, notes: [A3], dynamics: [f]}
        """);
    List<String> lines =
        Files.readAllLines(Path.of("OPERATING.md")).stream()
            .map(String::strip)
            .filter(line -> line.startsWith("curl "))
            .toList();
    assertEquals(4, lines.size());
    Path token = Files.createDirectory(home.resolve(".takewright")).resolve("token-7171");
    try (TakewrightServer server =
        TakewrightServer.start(
            new ServerSettings(
                ServerSettings.DEFAULT_HOST,
                0,
                List.of(takes, libraries),
                token,
                null,
                -1,
                0,
                0,
                null))) {
      String segments = run(lines.get(0), server);
      assertTrue(segments.contains("\"note\":\"A3\""), segments);
      run(lines.get(1), server);
      assertTrue(Files.exists(takes.resolve("tuned.wav")));
      run(lines.get(2), server);
      assertTrue(run(lines.get(3), server).contains("larkfell.yaml"));
    }
  }

  private String run(String line, TakewrightServer server)
      throws IOException, InterruptedException {
    String here =
        line.replace("/home/you", home.toString()).replace("7172", "" + server.httpPort());
    ProcessBuilder builder = new ProcessBuilder("bash", "-c", here);
    builder.environment().put("HOME", home.toString());
    Process curl = builder.redirectError(ProcessBuilder.Redirect.INHERIT).start();
    curl.getOutputStream().close();
    String out = new String(curl.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
    assertTrue(curl.waitFor(60, TimeUnit.SECONDS));
    assertEquals(0, curl.exitValue(), out);
    assertFalse(out.contains("\"error\":{"), out);
    return out;
  }
}
