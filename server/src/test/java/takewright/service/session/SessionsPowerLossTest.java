package takewright.service.session;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.testing.RecordingFiles;
import takewright.v1.PcmEncoding;

/** A session is on the disk once it has begun, and its audio when the service ends. */
class SessionsPowerLossTest {
  @TempDir Path folder;

  @Test
  void aSessionIsFlushedWithItsName() throws IOException {
    RecordingFiles files = new RecordingFiles();
    String id = "0123456789abcdef0123456789abcdef";
    String file = id + ".session";
    try (SessionStore store = new SessionStore(files.path(folder))) {
      KeptSession kept =
          store.begin(
              id,
              new SessionHeader(
                  "sheet", "library: X", "a.wav", 48_000, 1, PcmEncoding.PCM_ENCODING_INT16));
      assertEquals(
          List.of("write " + file, "force " + file, "force " + folder.getFileName()), files.done());
      kept.append(new float[1][4], 4);
    }
    List<String> steps = files.done();
    assertEquals(List.of("write " + file, "force " + file), steps.subList(3, steps.size()));
  }
}
