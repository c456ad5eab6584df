package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.time.Instant;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.condition.DisabledOnOs;
import org.junit.jupiter.api.condition.OS;
import org.junit.jupiter.api.io.TempDir;

/** The launcher in a checkout, which builds what is older than its sources. */
@DisabledOnOs(OS.WINDOWS)
class SourceLauncherTest {
  /** Stands for Maven, which keeps the file of a jar that is there and writes into it. */
  private static final String MAVEN =
      "#!/bin/sh\necho new > server/target/takewright-server-1.jar\n";

  @TempDir Path folder;
  private Path checkout;
  private Path jar;

  @BeforeEach
  void lay() throws IOException {
    checkout = Files.createDirectory(folder.resolve("a checkout"));
    Files.copy(Path.of("..", "takewright"), checkout.resolve("takewright"));
    Files.writeString(checkout.resolve("pom.xml"), "<version>1</version>\n");
    Files.createDirectories(checkout.resolve("proto"));
    Files.createDirectories(checkout.resolve("server/src/main"));
    Files.createDirectories(checkout.resolve("server/target/lib"));
    Files.writeString(checkout.resolve("server/pom.xml"), "");
    jar = checkout.resolve("server/target/takewright-server-1.jar");
    Files.writeString(jar, "old\n");
    Files.setLastModifiedTime(jar, FileTime.from(Instant.EPOCH));
    program("tools/mvn", MAVEN);
    program("java/bin/java", "#!/bin/sh\necho \"$@\"\n");
    program("java/bin/javac", "#!/bin/sh\n");
    Files.writeString(folder.resolve("java/release"), "JAVA_VERSION=\"17.0.1\"\n");
  }

  private void program(String name, String text) throws IOException {
    Path file = folder.resolve(name);
    Files.createDirectories(file.getParent());
    Files.writeString(file, text);
    assertTrue(file.toFile().setExecutable(true));
  }

  /** A service that lost its jar would fail at the next class that it loads. */
  @Test
  void aRunningServiceKeepsTheJarThatItWasStartedWith() throws Exception {
    try (InputStream running = Files.newInputStream(jar)) {
      ProcessBuilder builder =
          new ProcessBuilder("bash", checkout.resolve("takewright").toString(), "name")
              .redirectErrorStream(true);
      builder.environment().put("JAVA_HOME", folder.resolve("java").toString());
      builder.environment().merge("PATH", folder + "/tools", (path, first) -> first + ":" + path);
      Process process = builder.start();
      String said = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
      assertEquals(0, process.waitFor(), said);
      assertTrue(said.startsWith("building...\n"), said);
      assertTrue(said.endsWith(" -jar " + jar.toRealPath() + " name\n"), said);
      assertEquals("new\n", Files.readString(jar));
      assertEquals("old\n", new String(running.readAllBytes(), StandardCharsets.UTF_8));
    }
  }
}
