package takewright.service.access;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.function.Executable;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.diagnosis.ProblemException;
import takewright.service.Calls;

class GrantedFoldersTest {
  @TempDir Path root;
  private Path granted;
  private Path outside;
  private GrantedFolders folders;

  @BeforeEach
  void setUp() throws IOException {
    root = root.toRealPath();
    granted = Files.createDirectory(root.resolve("granted"));
    outside = Files.createDirectory(root.resolve("outside"));
    Files.createDirectory(root.resolve("granted-not"));
    Files.writeString(granted.resolve("in.wav"), "x");
    Files.writeString(outside.resolve("out.wav"), "x");
    Files.writeString(root.resolve("granted-not").resolve("near.wav"), "x");
    folders = GrantedFolders.of(List.of(granted));
  }

  private static void refused(Status.Code code, Executable call) {
    StatusRuntimeException refused = Calls.told(assertThrows(ProblemException.class, call));
    assertEquals(code, refused.getStatus().getCode(), refused.getMessage());
    String line = refused.getStatus().getDescription();
    assertTrue(line.contains("`f`"), line);
    assertTrue(!line.contains("\n"), line);
  }

  private void denied(Path path) {
    refused(Status.Code.PERMISSION_DENIED, () -> folders.fileToRead("f", path.toString()));
    refused(Status.Code.PERMISSION_DENIED, () -> folders.fileToWrite("f", path.toString(), true));
    refused(Status.Code.PERMISSION_DENIED, () -> folders.folderToWrite("f", path.toString()));
  }

  @Test
  void grantsWhatIsInside() throws IOException {
    Path file = granted.resolve("in.wav");
    assertEquals(file, folders.fileToRead("f", file.toString()));
    assertEquals(file, folders.fileToRead("f", granted + "/../granted/./in.wav"));
    assertEquals(
        granted.resolve("new.wav"),
        folders.fileToWrite("f", granted.resolve("new.wav").toString(), false));
    assertEquals(
        granted.resolve("a/b"), folders.folderToWrite("f", granted.resolve("a/b").toString()));
  }

  @Test
  void aLinkInsideThatStaysInsideIsGranted() throws IOException {
    Path link = Files.createSymbolicLink(granted.resolve("link.wav"), granted.resolve("in.wav"));
    assertEquals(granted.resolve("in.wav"), folders.fileToRead("f", link.toString()));
  }

  @Test
  void deniesWhatIsOutsideWhetherItIsThereOrNot() {
    denied(outside.resolve("out.wav"));
    denied(outside.resolve("nothing.wav"));
    denied(Path.of("/nowhere/at/all.wav"));
    denied(root.resolve("granted-not/near.wav"));
    denied(root);
  }

  @Test
  void deniesWaysOutByDots() {
    denied(Path.of(granted + "/../outside/out.wav"));
    denied(Path.of(granted + "/../outside/nothing.wav"));
    denied(Path.of(granted + "/missing/../../outside/out.wav"));
  }

  @Test
  void deniesWaysOutByLinks() throws IOException {
    Files.createSymbolicLink(granted.resolve("file.wav"), outside.resolve("out.wav"));
    Files.createSymbolicLink(granted.resolve("folder"), outside);
    Files.createSymbolicLink(granted.resolve("dangling.wav"), outside.resolve("nothing.wav"));
    denied(granted.resolve("file.wav"));
    denied(granted.resolve("folder/out.wav"));
    denied(granted.resolve("folder/new.wav"));
    denied(granted.resolve("dangling.wav"));
  }

  @Test
  void saysWhatIsWrongWithAPath() throws IOException {
    Files.createDirectory(granted.resolve("sub"));
    refused(Status.Code.INVALID_ARGUMENT, () -> folders.fileToRead("f", "in.wav"));
    refused(Status.Code.INVALID_ARGUMENT, () -> folders.fileToRead("f", ""));
    refused(Status.Code.INVALID_ARGUMENT, () -> folders.fileToRead("f", "/a\0b"));
    refused(Status.Code.INVALID_ARGUMENT, () -> folders.fileToRead("f", granted + "/sub"));
    refused(Status.Code.INVALID_ARGUMENT, () -> folders.fileToRead("f", granted + "/in.wav/"));
    refused(Status.Code.NOT_FOUND, () -> folders.fileToRead("f", granted + "/no.wav"));
    refused(Status.Code.NOT_FOUND, () -> folders.fileToWrite("f", granted + "/no/no.wav", false));
    refused(Status.Code.ALREADY_EXISTS, () -> folders.fileToWrite("f", granted + "/in.wav", false));
    refused(Status.Code.INVALID_ARGUMENT, () -> folders.fileToWrite("f", granted + "/sub", true));
    refused(Status.Code.INVALID_ARGUMENT, () -> folders.folderToWrite("f", granted + "/in.wav"));
  }

  /** With {@code replace} too, a person's file stays; one of Takewright's own may go. */
  @Test
  void nobodyElsesFileIsReplaced() throws IOException {
    refused(Status.Code.ALREADY_EXISTS, () -> folders.fileToWrite("f", granted + "/in.wav", true));
    Path own = granted.resolve("own.wav");
    WavWriter.write(own, Clip.of(48_000, new float[480]), 24, WavChunks.NONE);
    assertEquals(own, folders.fileToWrite("f", own.toString(), true));
  }

  @Test
  void withNoFolderNothingIsGranted() throws IOException {
    folders = GrantedFolders.of(List.of());
    denied(granted.resolve("in.wav"));
  }
}
