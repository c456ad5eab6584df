package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import ch.qos.logback.classic.LoggerContext;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.stream.Collectors;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/** The log as a person and as a log collector read it. JSON is read by Jackson. */
class LogsTest {
  private final PrintStream usual = System.err;
  private final ByteArrayOutputStream bytes = new ByteArrayOutputStream();

  @BeforeEach
  void listen() {
    System.setErr(new PrintStream(bytes, true, StandardCharsets.UTF_8));
  }

  @AfterEach
  void asBefore() {
    Logs.close();
    System.setErr(usual);
    LoggerContext log = (LoggerContext) LoggerFactory.getILoggerFactory();
    log.start();
    new Logs().configure(log);
  }

  private List<String> lines() {
    return bytes.toString(StandardCharsets.UTF_8).lines().collect(Collectors.toList());
  }

  @Test
  void jsonHasOneObjectPerLineAlsoOfCalls() throws IOException {
    Logs.asJson();
    Logger log = LoggerFactory.getLogger("takewright.calls");
    log.atInfo()
        .addKeyValue("method", "takewright.v1.Name")
        .addKeyValue("bytes_in", 12)
        .log("call");
    log.warn("two\nlines");
    log.debug("not told");
    Logs.close();
    List<String> lines = lines();
    assertEquals(2, lines.size(), lines.toString());
    JsonNode call = new ObjectMapper().readTree(lines.get(0));
    assertEquals("call", call.get("message").asText());
    assertEquals("INFO", call.get("level").asText());
    assertEquals("takewright.calls", call.get("logger").asText());
    assertEquals("takewright.v1.Name", call.get("method").asText());
    assertEquals(12, call.get("bytes_in").asInt());
    assertTrue(call.get("time").asText().matches("\\d{4}-\\d\\d-\\d\\dT.*"), lines.get(0));
    assertFalse(call.has("thread_name"), lines.get(0));
    assertEquals("two\nlines", new ObjectMapper().readTree(lines.get(1)).get("message").asText());
  }

  @Test
  void textHoldsFailuresAlone() {
    LoggerContext context = (LoggerContext) LoggerFactory.getILoggerFactory();
    new Logs().configure(context);
    Logger log = LoggerFactory.getLogger("takewright.calls");
    log.info("call");
    log.warn("the disk is nearly full");
    List<String> lines = lines();
    assertEquals(1, lines.size(), lines.toString());
    assertTrue(lines.get(0).endsWith("WARN calls - the disk is nearly full"), lines.get(0));
  }
}
