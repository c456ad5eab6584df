package takewright.library;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.function.Predicate;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.sheet.check.Check;
import takewright.testing.TakeBuilder;

/**
 * A folder becomes a link to one outside just after the path of a file in it was checked: the file
 * outside is neither read nor written.
 */
class SwappedPathsTest {
  private static final int RATE = 8_000;

  @TempDir Path root;
  private Path sheet;
  private Path takes;
  private Path rooms;
  private Path texts;
  private Path out;

  @BeforeEach
  void session() throws IOException {
    root = root.toRealPath();
    takes = folder("takes");
    rooms = folder("rooms");
    texts = folder("texts");
    out = folder("out");
    TakeBuilder take = new TakeBuilder(RATE, 1).pause(1.5);
    for (int i = 0; i < 3; i++) {
      take.sound("knock", 0, take.knock(), -12, -60).pause(1);
    }
    for (Path folder : new Path[] {takes, outside(takes)}) {
      WavWriter.write(folder.resolve("tap.wav"), take.build(-60), 16, WavChunks.NONE);
    }
    for (Path folder : new Path[] {rooms, outside(rooms)}) {
      Clip impulse = Clip.of(RATE, new float[] {1, 0.5f, 0.25f});
      WavWriter.write(folder.resolve("hall.wav"), impulse, 16, WavChunks.NONE);
    }
    for (Path folder : new Path[] {texts, outside(texts)}) {
      Files.writeString(folder.resolve("own.mustache"), "{{#samples}}{{file}}{{/samples}}");
    }
    sheet =
        Files.writeString(
            root.resolve("taps.yaml"),
            """
            library: Wickmere
            layers:
              - {name: close}
              - {name: hall, impulse: rooms/hall.wav}
            map: {templates: [{file: texts/own.mustache, out: "own.txt"}]}
            takes:
              - {file: takes/tap.wav, articulation: tap, kind: unpitched, round_robins: 3}
            """);
  }

  private Path folder(String name) throws IOException {
    Files.createDirectory(root.resolve(name + "-outside"));
    return Files.createDirectory(root.resolve(name));
  }

  private static Path outside(Path folder) {
    return folder.resolveSibling(folder.getFileName() + "-outside");
  }

  private static void swap(Path folder) throws IOException {
    if (!Files.isSymbolicLink(folder)) {
      Files.move(folder, folder.resolveSibling(folder.getFileName() + "-aside"));
      Files.createSymbolicLink(folder, outside(folder));
    }
  }

  /** Builds while a folder is swapped as soon as a path that is so was checked. */
  private void build(Path swapped, Predicate<Path> after) throws IOException {
    Build.run(
        new BuildOrder(
            sheet,
            out.resolve("library"),
            null,
            null,
            true,
            "",
            named -> {
              Path real = named.toRealPath();
              if (after.test(named)) {
                swap(swapped);
              }
              return real;
            }),
        progress -> {},
        BuildListener.NOBODY,
        () -> false);
  }

  private void assertRefused(Path swapped) {
    IOException refused =
        assertThrows(IOException.class, () -> build(swapped, named -> named.startsWith(swapped)));
    assertTrue(refused.getMessage().contains("is a link"), refused.toString());
  }

  @Test
  void aTake() {
    assertRefused(takes);
  }

  @Test
  void anImpulseResponse() {
    assertRefused(rooms);
  }

  @Test
  void aTemplate() {
    assertRefused(texts);
  }

  @Test
  void aCheckReadsNoHeaderOutside() {
    String told =
        Check.apply(
                sheet,
                named -> {
                  Path real = named.toRealPath();
                  if (named.startsWith(takes)) {
                    swap(takes);
                  }
                  return real;
                })
            .problems()
            .toString();
    assertTrue(told.contains("is a link"), told);
  }

  @Test
  void nothingIsWrittenIntoAFolderOutside() throws IOException {
    assertThrows(IOException.class, () -> build(out, named -> true));
    try (Stream<Path> files = Files.walk(outside(out))) {
      assertEquals(0, files.filter(Files::isRegularFile).count());
    }
  }

  @Test
  void withNothingSwappedItIsBuilt() throws IOException {
    build(out, named -> false);
    assertTrue(Files.exists(out.resolve("library/own.txt")));
  }
}
