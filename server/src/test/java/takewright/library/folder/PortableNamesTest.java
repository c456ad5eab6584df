package takewright.library.folder;

import static org.junit.jupiter.api.Assertions.assertDoesNotThrow;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.common.jimfs.Configuration;
import com.google.common.jimfs.Jimfs;
import java.io.IOException;
import java.nio.file.FileSystem;
import java.nio.file.Files;
import java.nio.file.InvalidPathException;
import java.util.List;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.CharRange;
import net.jqwik.api.constraints.StringLength;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.diagnosis.FileProblemException;

class PortableNamesTest {
  /** Microsoft, "Naming Files, Paths, and Namespaces". */
  @ParameterizedTest
  @ValueSource(
      strings = {
        "con.dls",
        "AUX",
        "Nul.wav",
        "lpt1.csv",
        "com9.tar.gz",
        "report/prn.html",
        "a:b.wav",
        "what?.wav",
        "a*b",
        "a|b",
        "a\\b",
        "a\u0007b",
        "ends.",
        "ends ",
        "a//b"
      })
  void namesThatSomeSystemRefusesAreRefused(String name) {
    assertThrows(FileProblemException.class, () -> PortableNames.check(List.of(name)));
  }

  @ParameterizedTest
  @ValueSource(
      strings = {"index.csv", "conga.wav", "auxiliary.dls", "com10.wav", "a.nul", "C#4.wav"})
  void otherNamesPass(String name) {
    assertDoesNotThrow(() -> PortableNames.check(List.of(name, name)));
  }

  @Test
  void namesThatDifferInCaseAloneAreRefused() {
    FileProblemException both =
        assertThrows(
            FileProblemException.class,
            () -> PortableNames.check(List.of("Tap_close.dls", "map.csv", "tap_close.dls")));
    assertTrue(both.getMessage().contains("Tap_close.dls"), both::getMessage);
    assertTrue(both.getMessage().contains("tap_close.dls"), both::getMessage);
  }

  /** What passes can be written where Windows' rules hold, as Jimfs plays them. */
  @Property(tries = 200)
  void whatPassesIsAFileOnWindows(
      @ForAll @StringLength(min = 1, max = 12) @CharRange(from = ' ', to = '~') String name)
      throws IOException {
    try {
      PortableNames.check(List.of(name));
    } catch (FileProblemException refused) {
      return;
    }
    try (FileSystem windows = Jimfs.newFileSystem(Configuration.windows())) {
      var file = windows.getPath("C:\\work", name.split("/"));
      Files.createDirectories(file.getParent());
      Files.write(file, new byte[1]);
      assertTrue(Files.exists(file));
    } catch (InvalidPathException e) {
      throw new AssertionError(name, e);
    }
  }
}
