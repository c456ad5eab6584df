package takewright.audio.original;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.channels.FileChannel;
import java.nio.file.FileSystemException;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** A folder that is held is the one that was checked, whatever its path has become meanwhile. */
class HeldFolderTest {
  @TempDir Path root;

  @Test
  void noPartOfAPathMayBeALink() throws IOException {
    root = root.toRealPath();
    Path outside = Files.createDirectories(root.resolve("outside/takes"));
    Path link = Files.createSymbolicLink(root.resolve("granted"), outside.getParent());
    FileSystemException refused =
        assertThrows(
            FileSystemException.class, () -> HeldFolder.of(link.resolve("takes/x.wav")).close());
    assertEquals(link.toString(), refused.getFile());
    assertTrue(refused.getReason().startsWith("is a link"), refused.getReason());
    assertThrows(
        FileSystemException.class,
        () ->
            HeldFolder.of(Files.createSymbolicLink(root.resolve("last"), outside).resolve("x.wav"))
                .close());
  }

  @Test
  void theFolderStaysTheOneThatWasOpened() throws IOException {
    root = root.toRealPath();
    Path takes = Files.createDirectory(root.resolve("takes"));
    Path outside = Files.createDirectory(root.resolve("outside"));
    Files.writeString(takes.resolve("x"), "inside");
    Files.writeString(outside.resolve("x"), "outside!");
    try (HeldFolder held = HeldFolder.of(takes.resolve("x"))) {
      Files.move(takes, root.resolve("aside"));
      Files.createSymbolicLink(takes, outside);
      try (FileChannel file = held.read("x")) {
        assertEquals("inside".length(), file.size());
      }
      held.create("y").close();
    }
    assertTrue(Files.exists(root.resolve("aside/y")));
    assertTrue(Files.notExists(outside.resolve("y")));
  }
}
