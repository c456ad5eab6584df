package takewright.audio;

import java.io.File;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.TimeUnit;
import takewright.testing.Outside;

/** Runs reference tools. */
public final class Tools {
  private Tools() {}

  /** Runs a tool and answers all it prints. */
  public static String run(String tool, Object... arguments) throws IOException {
    List<String> command = new ArrayList<>();
    command.add(Outside.tool(tool).toString());
    Arrays.stream(arguments).map(String::valueOf).forEach(command::add);
    Path out = Files.createTempFile("tool", ".txt");
    try {
      Process process =
          new ProcessBuilder(command)
              .redirectErrorStream(true)
              .redirectInput(new File("/dev/null"))
              .redirectOutput(out.toFile())
              .start();
      if (!process.waitFor(30, TimeUnit.SECONDS)) {
        process.destroyForcibly();
        throw new IOException(tool + " does not end");
      }
      String text = Files.readString(out, StandardCharsets.ISO_8859_1);
      if (process.exitValue() != 0) {
        throw new IOException(command + " failed: " + text);
      }
      return text;
    } catch (InterruptedException e) {
      throw new IOException(e);
    } finally {
      Files.delete(out);
    }
  }
}
