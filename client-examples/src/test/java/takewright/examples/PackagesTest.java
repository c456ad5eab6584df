package takewright.examples;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Order;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.testing.Outside;

/** The packages that can be made of the Python and JavaScript clients, used as a program would. */
@Order(5)
class PackagesTest {
  @TempDir static Path folder;

  private static Path tone;
  private static RunningService service;

  @BeforeAll
  static void start() throws Exception {
    tone =
        TestSounds.write(
            folder.resolve("tone.wav"),
            TestSounds.tones(3, new double[][] {{0.5, 2.5, TestSounds.A4_HZ}}));
    service = RunningService.start(folder);
  }

  @AfterAll
  static void stop() {
    if (service != null) {
      service.close();
    }
  }

  private static Language.Run ran(Path from, Path home, String... command) throws Exception {
    Language.Run run = Language.ran(List.of(command), home, from);
    assertEquals(0, run.status(), run::toString);
    return run;
  }

  private static List<String> filesBelow(Path place) throws IOException {
    try (Stream<Path> files = Files.walk(place)) {
      return files.map(file -> place.relativize(file).toString()).sorted().toList();
    }
  }

  @Test
  void theNpmPackageHoldsTheContractAndItsTypes() throws Exception {
    Language.JAVASCRIPT.program(); // or the test is skipped
    Path source = Language.EXAMPLES.resolve("javascript");
    Path modules = Files.createDirectories(folder.resolve("npm/node_modules"));
    ran(
        source,
        null,
        Outside.tool("npm").toString(),
        "pack",
        "--silent",
        "--pack-destination",
        folder.toString());
    ran(folder, null, "tar", "-xzf", "takewright-client-0.1.0.tgz", "-C", modules.toString());
    Files.move(modules.resolve("package"), modules.resolve("takewright-client"));
    // What npm would install beside it, as the repository's lock file has it.
    ran(source, null, "cp", "-r", source.resolve("node_modules") + "/.", modules.toString());
    Path script =
        Files.writeString(
            folder.resolve("npm/use.mjs"),
            """
            import { Client, WavFile } from 'takewright-client';
            const [, , server, tokenFile, file] = process.argv;
            const client = new Client({ server, tokenFile });
            const { sound } = await client.denoise(new WavFile(file), {}, { amount_db: 12 });
            const { pitch } = await client.analyse(sound);
            console.log(pitch.note, sound.data.length);
            client.close();
            """);

    Language.Run run =
        ran(
            script.getParent(),
            folder,
            Outside.tool("node").toString(),
            script.toString(),
            service.address(),
            service.tokenFile().toString(),
            tone.toString());

    assertEquals(List.of("A4 " + 3 * 3 * TestSounds.RATE_HZ), run.out());
    List<String> files = filesBelow(modules.resolve("takewright-client"));
    assertTrue(files.contains("proto/takewright/v1/operations.proto"), files::toString);
    assertTrue(files.contains("types/takewright/v1/SegmentConfig.d.ts"), files::toString);
    assertTrue(files.contains("index.d.ts"), files::toString);
    // Each type that the package's own declarations name is one of the generated ones.
    String declared = Files.readString(modules.resolve("takewright-client/index.d.ts"));
    for (String line : declared.split("\n")) {
      if (line.contains(" from './types/")) {
        String type = line.replaceAll(".*from './(.*)\\.js';", "$1.d.ts");
        assertTrue(files.contains(type), type);
      }
    }
  }

  @Test
  void thePythonPackageHoldsTheStubs() throws Exception {
    Language.PYTHON.program(); // or the test is skipped
    String python = Outside.python().toString();
    if (Language.ran(List.of(python, "-c", "import setuptools, wheel, pip")).status() != 0) {
      throw Outside.missing("pip, setuptools and wheel are not installed for Python");
    }
    ran(
        Language.EXAMPLES.resolve("python"),
        null,
        python,
        "-m",
        "pip",
        "wheel",
        "--quiet",
        "--no-build-isolation",
        "--no-deps",
        "--wheel-dir",
        folder.resolve("wheel").toString(),
        ".");
    Path wheel = folder.resolve("wheel/takewright_client-0.1.0-py3-none-any.whl");
    Path place = folder.resolve("python");
    ran(folder, null, python, "-m", "zipfile", "-e", wheel.toString(), place.toString());
    List<String> files = filesBelow(place);
    assertTrue(files.contains("takewright/v1/operations_pb2_grpc.py"), files::toString);
    assertTrue(files.contains("takewright/v1/operations_pb2.pyi"), files::toString);
    assertTrue(files.contains("takewright/py.typed"), files::toString);

    List<String> command = new ArrayList<>(List.of(python, "-c"));
    command.add(
        """
        import sys
        sys.path.insert(0, sys.argv[1])
        import takewright
        with takewright.Client(sys.argv[2], sys.argv[3]) as client:
            sound, report = client.denoise(takewright.WavFile(sys.argv[4]), amount_db=12)
            print(client.analyse(sound).pitch.note, len(sound.data))
        """);
    command.addAll(
        List.of(
            place.toString(), service.address(), service.tokenFile().toString(), tone.toString()));
    Language.Run run = ran(folder, folder, command.toArray(String[]::new));
    assertEquals(List.of("A4 " + 3 * 3 * TestSounds.RATE_HZ), run.out());
  }
}
