package takewright.service;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.net.InetAddress;
import java.net.Socket;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.audio.AudioFile;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.service.work.Priority;
import takewright.service.work.Workers;

/**
 * Plain HTTP, called by the JDK's client and by bytes. JSON as the protobuf language guide maps it
 * ("JSON Mapping"); statuses as the comments of google/rpc/code.proto map them.
 */
class HttpDoorTest {
  private static final ObjectMapper JSON = new ObjectMapper();
  private static final int RATE = 48_000;

  @TempDir Path folder;
  private Path granted;
  private Path take;
  private TakewrightServer server;
  private final HttpClient client = HttpClient.newHttpClient();

  @BeforeEach
  void start() throws IOException {
    folder = folder.toRealPath();
    granted = Files.createDirectory(folder.resolve("granted"));
    take = granted.resolve("take.wav");
    WavWriter.write(take, Calls.note(RATE, 220), 24, WavChunks.NONE);
    server =
        TakewrightServer.start(
            new ServerSettings(
                ServerSettings.DEFAULT_HOST,
                0,
                List.of(granted),
                folder.resolve("token"),
                null,
                -1,
                0,
                0,
                folder.resolve("state")));
  }

  @AfterEach
  void stop() throws IOException {
    server.close();
  }

  private HttpRequest.Builder request(String method) {
    return HttpRequest.newBuilder(
        URI.create("http://127.0.0.1:" + server.httpPort() + "/v1/" + method));
  }

  private HttpResponse<String> send(HttpRequest request) {
    try {
      return client.send(request, HttpResponse.BodyHandlers.ofString());
    } catch (IOException | InterruptedException e) {
      throw new AssertionError(e);
    }
  }

  private HttpResponse<String> post(String method, String body) throws IOException {
    return send(
        request(method)
            .header("Authorization", "Bearer " + Files.readString(server.tokenFile()).strip())
            .POST(HttpRequest.BodyPublishers.ofString(body))
            .build());
  }

  /** The lines of a call that succeeds. */
  private List<JsonNode> call(String method, String body) throws IOException {
    HttpResponse<String> answer = post(method, body);
    assertEquals(200, answer.statusCode(), answer.body());
    List<JsonNode> lines = new ArrayList<>();
    for (String line : answer.body().split("\n")) {
      lines.add(JSON.readTree(line));
    }
    return lines;
  }

  private String file(Path path) throws IOException {
    return "{\"file\": " + JSON.writeValueAsString(path.toString()) + "}";
  }

  @Test
  void theFormatComesFirstThenTheRegionsThenTheSummary() throws IOException {
    List<JsonNode> lines = call("Segment", "{\"config\": {\"input\": " + file(take) + "}}");
    assertEquals(3, lines.size(), lines.toString());
    assertEquals(RATE, lines.get(0).at("/input/sampleRateHz").intValue());
    assertEquals("96000", lines.get(0).at("/input/frames").textValue(), "int64 is text in JSON");
    assertEquals("KIND_PITCHED", lines.get(1).at("/region/kind").textValue());
    assertEquals(57, lines.get(1).at("/region/pitch/midi").intValue());
    assertEquals(24_000, Long.parseLong(lines.get(1).at("/region/onsetFrame").asText()), 480);
    assertTrue(lines.get(2).at("/summary/frames").asText().equals("96000"));
  }

  @Test
  void soundGoesFromFileToFile() throws IOException {
    Path out = granted.resolve("out.wav");
    String body =
        "{\"config\": {\"input\": "
            + file(take)
            + ", \"output\": "
            + file(out)
            + ", \"cents\": 50}}";
    List<JsonNode> lines = call("Retune", body);
    assertEquals(50, lines.get(1).at("/report/movedCents").doubleValue());
    try (AudioFile audio = AudioFile.open(out)) {
      // 50 cents upwards are shorter by that factor.
      assertEquals(2 * RATE / Math.pow(2, 50 / 1200.0), audio.frames(), 2);
    }
    HttpResponse<String> again = post("Retune", body);
    assertEquals(409, again.statusCode(), again.body());
  }

  @Test
  void aLibraryIsBuiltAndWatched() throws IOException {
    Path sheet =
        Files.writeString(
            granted.resolve("sheet.yaml"),
            """
            library: Larkfell
            takes:
              - {file: take.wav, articulation: sustain, notes: [A3], dynamics: [f]}
            """);
    Path out = granted.resolve("library");
    JsonNode started =
        call("StartBuild", "{\"sheetFile\": \"" + sheet + "\", \"output_folder\": \"" + out + "\"}")
            .get(0);
    String id = started.at("/build/buildId").textValue();
    List<JsonNode> watched = call("WatchBuild", "{\"buildId\": \"" + id + "\"}");
    assertEquals(1, watched.get(watched.size() - 1).at("/result/samples").intValue());
    JsonNode build = call("GetBuild", "{\"buildId\": \"" + id + "\"}").get(0).get("build");
    assertEquals("BUILD_STATE_DONE", build.get("state").textValue());
    assertTrue(Files.exists(out.resolve("index.csv")));
    assertEquals(id, call("ListBuilds", "").get(0).at("/builds/0/buildId").textValue());
  }

  @Test
  void factsAboutTheServiceAndNames() throws IOException {
    JsonNode info = call("GetServerInfo", "{}").get(0);
    assertEquals(TakewrightServer.VERSION, info.get("version").textValue());
    assertEquals(granted.toString(), info.at("/grantedFolders/0").textValue());
    assertEquals(server.httpPort(), info.get("httpPort").intValue());
    assertEquals(1 << 20, info.at("/limits/audioBytes").intValue());
    assertEquals(Workers.max(Priority.BATCH, 2), info.at("/limits/maxBuilds").intValue());
    JsonNode name =
        call("FormatName", "{\"style\": {\"pattern\": \"{note}\"}, \"facts\": {\"midi\": 60}}")
            .get(0);
    assertEquals("C4", name.get("name").textValue());
  }

  /** Each with its HTTP status, its code of google.rpc.Code, and what the message speaks of. */
  @Test
  void errorsSayTheirStatusFieldAndRemedy() throws IOException {
    String outside = file(folder.resolve("outside.wav"));
    Files.writeString(folder.resolve("outside.wav"), "");
    refused(400, 3, post("Analyse", "{\"config\": {}}"), "config.input", "exactly one");
    refused(400, 3, post("Analyse", "not JSON"), "AnalyseRequest");
    refused(400, 3, post("Analyse", "{\"konfig\": {}}"), "konfig");
    refused(
        403,
        7,
        post("Analyse", "{\"config\": {\"input\": " + outside + "}}"),
        "use a path under " + granted + ", or start the service with --allow FOLDER");
    refused(
        404,
        5,
        post("Analyse", "{\"config\": {\"input\": " + file(granted.resolve("no.wav")) + "}}"),
        "no.wav");
    for (String method : List.of("OpenBoard", "EndSession")) {
      refused(404, 5, post(method, "{\"sessionId\": \"beef\"}"), "a session of this service");
    }
    refused(404, 5, post("GetBuild", "{\"buildId\": \"x\"}"), "build_id");
    refused(
        400,
        3,
        post(
            "Denoise",
            "{\"config\": {\"input\": "
                + file(take)
                + ", \"output\": {\"pcm\": \"PCM_ENCODING_INT16\"}}}"),
        "config.output.pcm",
        "file");
    refused(400, 3, post("Segment", "{\"x\": \"" + "y".repeat(5 << 20) + "\"}"), "larger");
  }

  /** What scripts get wrong first: the field, what is wrong, and what to write instead. */
  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      quoteCharacter = '`',
      value = {
        "not JSON | | not JSON: it cannot be read at line 1 | send AnalyseRequest, such as {\"config\"",
        "{\"config\": {} | | not JSON | send AnalyseRequest",
        "[1] | | not a JSON object | send AnalyseRequest",
        "{\"konfig\": {}} | konfig | is no field of AnalyseRequest | did you mean `config`?",
        "{\"input\": {}} | input | is no field of AnalyseRequest | put it into `config`",
        "{\"config\": {\"file\": \"/a\"}} | config.file | no field of | put it into `config.input`",
        "{\"config\": {\"input\": {\"path\": \"/a\"}}} | config.input.path | no field of AudioInput"
            + " | use one of `file`, `pcm`",
        "{\"config\": \"/a\"} | config | is not an object | give one with `input`, `kind`",
        "{\"config\": {\"kind\": \"KIND_PICHED\"}} | config.kind | is none of its values"
            + " | did you mean KIND_PITCHED?",
        "{\"config\": {\"kind\": \"tap\"}} | config.kind | none of its values: \"tap\""
            + " | use one of KIND_PITCHED, KIND_UNPITCHED",
        "{\"config\": {\"tuningHz\": \"high\"}} | config.tuning_hz | is not a number | give one",
        "{\"config\": {\"picture\": 3}} | config.picture | neither true nor false | give one",
        "{\"config\": {\"input\": {\"file\": \"/a\", \"pcm\": {}}}} | config.input.pcm"
            + " | is set together with `config.input.file` | leave one of them out",
        "{\"config\": {\"tuningHz\": 440, \"tuning_hz\": 441}} | config.tuning_hz | is set twice | leave one",
        "{\"config\": {\"kind\": 99999999999}} | config.kind | is none of its values | use one of",
        "{\"audio\": \"?\"} | | not AnalyseRequest as protobuf maps it | as the contract says",
        "{\"audio\": [1]} | audio | is not a text | give one",
      })
  void whatIsWrongInABodyIsNamed(String body, String field, String what, String remedy)
      throws IOException {
    HttpResponse<String> answer = post("Analyse", body);
    refused(400, 3, answer, what, remedy);
    JsonNode facts = JSON.readTree(answer.body()).at("/error/details/0/metadata");
    assertEquals(field == null ? "" : field, facts.path("field").asText(), answer.body());
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      quoteCharacter = '`',
      value = {
        "{\"config\": {\"chain\": {\"gainDb\": -3}}} | config.chain | is not a list",
        "{\"config\": {\"chain\": [{\"gainDb\": -3}, {\"highpass\": 3}]}} | config.chain[1].highpass"
            + " | did you mean `high_pass_hz`?",
        "{\"config\": {\"onsetFrame\": \"1.5\"}} | config.onset_frame | is not a whole number",
        "{\"config\": {\"wetDb\": \"-6\", \"wetOnly\": \"true\", \"onsetFrame\": \"7\"}}"
            + " | config.input | exactly one",
      })
  void whatIsWrongInAListOrATextIsNamed(String body, String field, String words)
      throws IOException {
    HttpResponse<String> answer = post("Layer", body);
    refused(400, 3, answer, words);
    assertEquals(
        field, JSON.readTree(answer.body()).at("/error/details/0/metadata/field").asText());
  }

  @Test
  void aWrongPathIsToldLikeAnyError() throws IOException {
    URI elsewhere = URI.create("http://127.0.0.1:" + server.httpPort() + "/Analyse");
    HttpRequest.Builder request =
        HttpRequest.newBuilder(elsewhere)
            .header("Authorization", "Bearer " + Files.readString(server.tokenFile()).strip())
            .POST(HttpRequest.BodyPublishers.noBody());
    refused(404, 5, send(request.build()), "nothing is at /Analyse; call /v1/METHOD");
    refused(404, 5, post("Analyze", "{}"), "did you mean Analyse?");
    refused(404, 5, post("Play", "{}"), "use one of Analyse, Audit");
    refused(404, 5, post("FollowSession", "{}"), "call it by gRPC");
  }

  private static void refused(int status, int code, HttpResponse<String> answer, String... words)
      throws IOException {
    assertEquals(status, answer.statusCode(), answer.body());
    JsonNode error = JSON.readTree(answer.body()).get("error");
    assertEquals(code, error.get("code").intValue(), answer.body());
    for (String word : words) {
      assertTrue(error.get("message").textValue().contains(word), answer.body());
    }
    assertTrue(
        error.at("/details/0/@type").textValue().endsWith("google.rpc.ErrorInfo"), answer.body());
    assertEquals("takewright", error.at("/details/0/domain").textValue(), answer.body());
  }

  @Test
  void onlyWhoHasTheTokenIsAnswered() throws IOException {
    HttpRequest.BodyPublisher body = HttpRequest.BodyPublishers.ofString("{}");
    refused(401, 16, send(request("GetServerInfo").POST(body).build()), "no token", "Bearer");
    refused(
        401,
        16,
        send(request("GetServerInfo").header("Authorization", "Bearer x").POST(body).build()),
        "not that of this server");
    refused(405, 3, send(request("GetServerInfo").GET().build()), "is GET", "send it as POST");
  }

  /** A page of another site whose name leads here (DNS rebinding) sends that site's name. */
  @Test
  void requestsForOtherHostsAreRefused() throws IOException {
    assertTrue(raw("Host: evil.example\r\n").startsWith("HTTP/1.1 403"));
    assertTrue(raw("").startsWith("HTTP/1.1 4"));
    assertTrue(raw("Host: localhost:1\r\n").startsWith("HTTP/1.1 401"));
  }

  private String raw(String headers) throws IOException {
    try (Socket socket = new Socket(InetAddress.getLoopbackAddress(), server.httpPort())) {
      socket.setSoTimeout(20_000);
      socket
          .getOutputStream()
          .write(
              ("POST /v1/GetServerInfo HTTP/1.1\r\n" + headers + "Content-Length: 2\r\n\r\n{}")
                  .getBytes(StandardCharsets.US_ASCII));
      byte[] start = socket.getInputStream().readNBytes(12);
      return new String(start, StandardCharsets.US_ASCII).strip().toUpperCase(Locale.ROOT);
    }
  }

  @Test
  void beyondThisMachineThereIsNoPlainHttp() {
    IllegalArgumentException refused =
        assertThrows(
            IllegalArgumentException.class,
            () ->
                TakewrightServer.start(
                    new ServerSettings(
                        "0.0.0.0",
                        0,
                        List.of(),
                        null,
                        new ServerSettings.Tls(take, take, null),
                        -1,
                        0,
                        0,
                        null)));
    assertTrue(refused.getMessage().contains("--http-port"), refused.getMessage());
  }

  @Test
  void theSameSoundIsHeardAsByGrpc() throws IOException {
    byte[] before = Files.readAllBytes(take);
    List<JsonNode> lines = call("Analyse", "{\"config\": {\"input\": " + file(take) + "}}");
    JsonNode facts = lines.get(1).get("facts");
    assertEquals(57, facts.at("/pitch/midi").intValue());
    assertEquals(0, facts.at("/pitch/cents").doubleValue(), 1);
    assertArrayEquals(before, Files.readAllBytes(take));
  }
}
