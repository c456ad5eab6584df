package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.ByteArrayOutputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import org.junit.jupiter.api.Test;

class WarmUpCommandTest {
  /**
   * The launcher runs it while it builds; what it printed would stand among a command's results.
   */
  @Test
  void itWorksAndPrintsNothing() {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    PrintStream both = new PrintStream(out, true, StandardCharsets.UTF_8);
    int status = Main.run(both, both, "warm-up");
    assertEquals("", out.toString(StandardCharsets.UTF_8));
    assertEquals(0, status);
  }
}
