package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.PipedInputStream;
import java.io.PipedOutputStream;
import java.io.PrintStream;
import java.net.ConnectException;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.report.PlantedSession;

/** A build whose page stays open after it, in the process of the command. */
class WatchTest {
  @TempDir Path folder;

  private static int status(URI page) throws IOException, InterruptedException {
    return HttpClient.newHttpClient()
        .send(HttpRequest.newBuilder(page).build(), HttpResponse.BodyHandlers.discarding())
        .statusCode();
  }

  /** The line that holds these words, once it has been printed. */
  private static String line(
      ByteArrayOutputStream printed, CompletableFuture<Integer> ended, String words)
      throws InterruptedException {
    while (true) {
      String text = printed.toString(StandardCharsets.UTF_8);
      for (String line : text.lines().toList()) {
        if (line.contains(words)) {
          return line;
        }
      }
      assertTrue(!ended.isDone(), text);
      Thread.sleep(50);
    }
  }

  @Test
  void thePageStaysOpenUntilEnterIsPressed() throws Exception {
    Path sheet = PlantedSession.write(folder.resolve("session"));
    Path saved = Files.createDirectories(folder.resolve("library")).resolve("decisions.yaml");
    Files.writeString(saved, "takes: []\n");
    ByteArrayOutputStream err = new ByteArrayOutputStream();
    PrintStream said = new PrintStream(err, true, StandardCharsets.UTF_8);
    InputStream before = System.in;
    try (PipedOutputStream keys = new PipedOutputStream();
        PipedInputStream in = new PipedInputStream(keys)) {
      System.setIn(in);
      CompletableFuture<Integer> ended =
          CompletableFuture.supplyAsync(
              () ->
                  Main.run(
                      new PrintStream(new ByteArrayOutputStream()),
                      said,
                      "build",
                      sheet.toString(),
                      "--out",
                      folder.resolve("library").toString(),
                      "--watch",
                      "--local"));
      line(err, ended, "press Enter");
      String text = err.toString(StandardCharsets.UTF_8);
      String first =
          text.lines().filter(l -> l.startsWith("watch: http")).findFirst().orElseThrow();
      assertTrue(text.contains("decisions: ") && text.contains(saved.toString()), text);
      URI page = URI.create(first.substring("watch: ".length()));
      assertEquals(200, status(page));
      assertEquals(200, status(page.resolve("../decisions")), "it takes decisions");
      assertTrue(!ended.isDone());
      Files.writeString(
          sheet, Files.readString(sheet).replace("round_robins: 2", "round_robins: 1"));
      String edited = line(err, ended, "watch: sheet.yaml saved: ");
      assertTrue(edited.matches(".*: 0 new, \\d+ changed, [1-9]\\d* gone of .*"), edited);
      Files.writeString(sheet, Files.readString(sheet) + "    rounds: 3\n");
      String slip = line(err, ended, "sheet.yaml saved, but library and page stay as they were: ");
      assertTrue(slip.contains("sheet.yaml:9: `rounds` is not a key"), slip);
      assertEquals(200, status(page));
      keys.write('\n');
      keys.flush();
      assertEquals(0, ended.get(20, TimeUnit.SECONDS));
      assertThrows(ConnectException.class, () -> status(page), "and is closed then");
    } finally {
      System.setIn(before);
    }
  }
}
