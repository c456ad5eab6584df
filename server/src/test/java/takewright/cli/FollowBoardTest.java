package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PipedInputStream;
import java.io.PipedOutputStream;
import java.io.PrintStream;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.sheet.decision.Fix;
import takewright.sheet.decision.Verdict;
import takewright.sheet.read.DecisionsReader;
import takewright.sheet.read.SheetReader;
import takewright.testing.HeldTone;
import takewright.testing.TakeBuilder;

/** The command that follows a session, whose board is touched meanwhile. */
class FollowBoardTest {
  private static final int RATE = 16_000;
  private static final Pattern ADDRESS = Pattern.compile("board: (http\\S+)");

  @TempDir Path folder;

  /** Two seconds of room, then notes of a second with a second and a half behind each. */
  private static byte[] take() {
    TakeBuilder builder = new TakeBuilder(RATE, 5).pause(2);
    for (int midi : new int[] {69, 71}) {
      float[] note = HeldTone.crisp(RATE, HeldTone.hz(midi), 1).samples();
      builder.sound("note", midi, note, -12, -62).pause(1.5);
    }
    float[] samples = builder.build(-62).channel(0);
    byte[] bytes = new byte[2 * samples.length];
    for (int i = 0; i < samples.length; i++) {
      int sample = Math.round(samples[i] * 32767);
      bytes[2 * i] = (byte) sample;
      bytes[2 * i + 1] = (byte) (sample >> 8);
    }
    return bytes;
  }

  private static void touch(String address, String body) throws Exception {
    HttpResponse<Void> answer =
        HttpClient.newHttpClient()
            .send(
                HttpRequest.newBuilder(URI.create(address + "decide"))
                    .POST(HttpRequest.BodyPublishers.ofString(body))
                    .build(),
                HttpResponse.BodyHandlers.discarding());
    assertEquals(204, answer.statusCode());
  }

  /**
   * The room is recorded on until something holds; what is touched is heeded with the next block.
   */
  private static void recordUntil(Check holds, PipedOutputStream recorder) throws Exception {
    long end = System.nanoTime() + TimeUnit.SECONDS.toNanos(60);
    while (!holds.holds()) {
      assertTrue(System.nanoTime() < end, "waited in vain");
      recorder.write(new byte[2 * RATE / 10]);
      recorder.flush();
      Thread.sleep(50);
    }
  }

  private interface Check {
    boolean holds() throws IOException;
  }

  @Test
  void whatIsTouchedOnTheBoardIsWrittenAsDecisionsThatABuildReads() throws Exception {
    Path sheet =
        Files.writeString(
            folder.resolve("sheet.yaml"),
            """
            library: Larkfell
            takes:
              - {file: hum.wav, articulation: hum, notes: [A4, B4, C5], dynamics: [f]}
            """);
    Path decisions = folder.resolve("decisions.yaml");
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    ByteArrayOutputStream err = new ByteArrayOutputStream();
    java.io.InputStream usual = System.in;
    PipedOutputStream recorder = new PipedOutputStream();
    try {
      System.setIn(new PipedInputStream(recorder, 1 << 22));
      CompletableFuture<Integer> running =
          CompletableFuture.supplyAsync(
              () ->
                  Main.run(
                      new PrintStream(out, true, StandardCharsets.UTF_8),
                      new PrintStream(err, true, StandardCharsets.UTF_8),
                      "follow",
                      sheet.toString(),
                      "--pcm=int16," + RATE + ",1",
                      "--local",
                      "--board",
                      "--json",
                      "--decisions=" + decisions));
      recorder.write(take());
      recorder.flush();
      recordUntil(
          () ->
              ADDRESS.matcher(err.toString(StandardCharsets.UTF_8)).find()
                  // Its name stands in the list of what is missing from the start.
                  && out.toString(StandardCharsets.UTF_8).contains("\"number\":2,"),
          recorder);
      Matcher address = ADDRESS.matcher(err.toString(StandardCharsets.UTF_8));
      assertTrue(address.find());
      touch(address.group(1), "{\"note\": 2, \"verdict\": \"drop\"}");
      recordUntil(() -> Files.exists(decisions), recorder);
      // The file that was written is written again.
      touch(address.group(1), "{\"cell\": 2, \"skip\": true}");
      recordUntil(() -> Files.readString(decisions).contains("missing"), recorder);
      recorder.close();
      assertEquals(0, running.get(60, TimeUnit.SECONDS), () -> err.toString());
    } finally {
      System.setIn(usual);
    }
    List<Fix> fixes =
        DecisionsReader.read(SheetReader.read(sheet), decisions).sheet().takes().get(0).fixes();
    assertEquals(2, fixes.size());
    // The second note sounds from 4.5 to 5.5 s.
    assertEquals(5, fixes.get(0).atS(), 0.5);
    assertEquals(Verdict.DROP, fixes.get(0).correction().verdict());
    assertEquals(72, fixes.get(1).cell().midi());
    assertTrue(fixes.get(1).acceptsMissing());
    for (String line : out.toString(StandardCharsets.UTF_8).lines().toList()) {
      JsonNode report = new ObjectMapper().readTree(line);
      assertEquals(1, report.size(), "a line is one report: " + line);
    }
  }

  @Test
  void aFileThatAPersonWroteIsLeftAlone() throws Exception {
    Path file = Files.writeString(folder.resolve("mine.yaml"), "takes: []\n");
    SessionDecisionsFile decisions = new SessionDecisionsFile(file, "hum.wav");
    org.junit.jupiter.api.Assertions.assertThrows(
        IOException.class,
        () ->
            decisions.write(
                takewright.v1.SessionDecisions.newBuilder()
                    .addDecisions(
                        takewright.v1.SessionDecision.newBuilder()
                            .setVerdict(takewright.v1.SessionVerdict.SESSION_VERDICT_KEEP)
                            .setAtS(1))
                    .build()));
    assertEquals("takes: []\n", Files.readString(file));
  }
}
