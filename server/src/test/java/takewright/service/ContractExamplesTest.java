package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.grpc.ManagedChannel;
import io.grpc.inprocess.InProcessChannelBuilder;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.diagnosis.Reason;
import takewright.layer.Effect;
import takewright.library.folder.IndexCsv;
import takewright.sheet.Sheet;
import takewright.sheet.read.ChainReader;
import takewright.sheet.read.SheetReader;
import takewright.v1.GetServerInfoRequest;
import takewright.v1.GetServerInfoResponse;
import takewright.v1.ProtoFile;
import takewright.v1.ServerServiceGrpc;

/** What a client learns from the contract alone: its comments, and the examples in them. */
class ContractExamplesTest {
  private static final ObjectMapper JSON = new ObjectMapper();

  @TempDir Path folder;
  private TakewrightServer server;
  private ManagedChannel channel;

  @BeforeEach
  void start() throws IOException {
    server = TakewrightServer.startInProcess();
    channel = InProcessChannelBuilder.forName(server.address()).build();
  }

  @AfterEach
  void stop() throws IOException {
    channel.shutdownNow();
    server.close();
  }

  private GetServerInfoResponse info(GetServerInfoRequest.Builder request) {
    return ServerServiceGrpc.newBlockingStub(channel).getServerInfo(request.build());
  }

  /** The lines of a file of the contract, as the service sends it. */
  private List<String> contract(String file) {
    return info(GetServerInfoRequest.newBuilder().setWithProtoFiles(true))
        .getProtoFilesList()
        .stream()
        .filter(proto -> proto.getPath().endsWith("/" + file))
        .flatMap(proto -> proto.getText().lines())
        .toList();
  }

  /** What stands indented in the comment above a message, without the marks of a comment. */
  private List<String> exampleAbove(String file, String message) {
    List<String> lines = contract(file);
    int end = lines.indexOf("message " + message + " {");
    int start = end;
    while (lines.get(start - 1).startsWith("//")) {
      start--;
    }
    return lines.subList(start, end).stream()
        .filter(line -> line.startsWith("//     "))
        .map(line -> line.substring(7))
        .toList();
  }

  @Test
  void theFilesOfTheContractAreSentWithTheirComments() throws IOException {
    Map<String, String> sent = new TreeMap<>();
    for (ProtoFile file :
        info(GetServerInfoRequest.newBuilder().setWithProtoFiles(true)).getProtoFilesList()) {
      sent.put(file.getPath(), file.getText());
    }
    Map<String, String> written = new TreeMap<>();
    try (var files = Files.list(Path.of("../proto/takewright/v1"))) {
      for (Path file : files.toList()) {
        written.put(
            "takewright/v1/" + file.getFileName(), Files.readString(file, StandardCharsets.UTF_8));
      }
    }
    assertEquals(written, sent);
    assertEquals(0, info(GetServerInfoRequest.newBuilder()).getProtoFilesCount());
  }

  @Test
  void eachColumnOfTheIndexIsExplained() {
    List<String> lines = contract("library.proto");
    List<String> explained =
        lines.subList(0, lines.indexOf("  string index_file = 5;")).stream()
            .filter(line -> line.matches("  //   [a-z]+.*"))
            .flatMap(line -> Stream.of(line.substring(7).split("   +")[0].split(",? ")))
            .toList();
    for (String column : IndexCsv.COLUMNS) {
      assertTrue(explained.contains(column), column);
    }
  }

  @Test
  void theSchemaOfASheetIsTheOneThatCheckPrints() throws IOException {
    String printed = Files.readString(Path.of("src/main/resources/takewright/sheet/schema.json"));
    assertEquals(
        printed, info(GetServerInfoRequest.newBuilder().setWithSheetSchema(true)).getSheetSchema());
    assertEquals("", info(GetServerInfoRequest.newBuilder()).getSheetSchema());
  }

  @Test
  void theExampleOfASheetIsOne() throws IOException {
    String example =
        exampleAbove("library.proto", "CheckSheetRequest").stream()
            .takeWhile(line -> !line.startsWith("middle_c"))
            .collect(Collectors.joining("\n"));
    Path file = Files.writeString(folder.resolve("example.yaml"), example);
    Sheet sheet = SheetReader.read(file);
    assertEquals(2, sheet.takes().size());
    assertEquals(27 * 2 * 2, sheet.cells(sheet.takes().get(0)).size());
    assertEquals(12, sheet.cells(sheet.takes().get(1)).size());
  }

  /** Every closed list of words in the sheet, but for yes and no and for the flags. */
  @Test
  void theWordsOfEachKeyStandInTheComment() throws IOException {
    String listed =
        exampleAbove("library.proto", "CheckSheetRequest").stream()
            .dropWhile(line -> !line.startsWith("middle_c"))
            .collect(Collectors.joining(" "))
            .replaceAll("\\s+", " ");
    JsonNode schema =
        JSON.readTree(
            info(GetServerInfoRequest.newBuilder().setWithSheetSchema(true)).getSheetSchema());
    Map<String, JsonNode> closed = new TreeMap<>();
    collectClosed(schema, closed);
    for (Map.Entry<String, JsonNode> key : closed.entrySet()) {
      Matcher line =
          Pattern.compile("\\b" + key.getKey() + "[^:]*: (?<words>[^:]*)").matcher(listed);
      assertTrue(line.find(), key.getKey());
      for (JsonNode word : key.getValue()) {
        assertTrue(line.group("words").contains(word.asText()), key.getKey() + ": " + word);
      }
    }
    assertTrue(closed.keySet().containsAll(Set.of("kind", "order", "temperament")), closed + "");
  }

  private static void collectClosed(JsonNode schema, Map<String, JsonNode> closed) {
    schema
        .path("properties")
        .properties()
        .forEach(
            key -> {
              JsonNode words = key.getValue().path("enum");
              words = words.isMissingNode() ? key.getValue().at("/anyOf/0/enum") : words;
              boolean isOpen = words.isMissingNode() || words.toString().contains("\"yes\"");
              if (!isOpen && !key.getKey().equals("accept")) {
                closed.put(key.getKey(), words);
              }
            });
    schema.forEach(part -> collectClosed(part, closed));
  }

  @Test
  void everyEffectOfTheGrammarIsRead() {
    Pattern example = Pattern.compile(" +// {3}(?<effect>\\{.*?\\}+)( .*|$)");
    List<Effect> effects = new ArrayList<>();
    for (String line : contract("operations.proto")) {
      Matcher matcher = example.matcher(line);
      if (matcher.matches()) {
        effects.addAll(ChainReader.read("chain", "[" + matcher.group("effect") + "]", 72.0));
      }
    }
    Set<Class<?>> kinds = effects.stream().map(Object::getClass).collect(Collectors.toSet());
    assertEquals(Set.of(Effect.class.getPermittedSubclasses()), kinds);
    assertEquals(13, effects.size(), "one shelf of either kind, and three delays");
  }

  @Test
  void everyReasonStandsInTheTable() {
    List<String> table =
        contract("operations.proto").stream().filter(line -> line.startsWith("//   ")).toList();
    for (Reason reason : Reason.values()) {
      assertEquals(
          1,
          table.stream().filter(line -> line.startsWith("//   " + reason + " ")).count(),
          reason.name());
    }
  }
}
