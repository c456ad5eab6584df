package takewright.bench.fuzz;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import takewright.audio.AudioFile;

/** A file of any bytes is read to its end, or refused in one line that names it. */
public final class AudioTarget {
  /** More frames than a file of a few kilobytes can hold: a FLAC frame of silence is 65535. */
  private static final long MAX_FRAMES = 1L << 26;

  private AudioTarget() {}

  /** Called by Jazzer. */
  public static void fuzzerTestOneInput(byte[] data) throws IOException {
    Path file = Files.createTempFile("fuzz", ".audio");
    try {
      Files.write(file, data);
      read(file);
    } finally {
      Files.delete(file);
    }
  }

  private static void read(Path file) {
    try (AudioFile audio = AudioFile.open(file)) {
      float[][] block = new float[audio.channels()][1000];
      audio.chunks();
      long frames = 0;
      for (int n; (n = audio.read(block, 0, 1000)) >= 0; ) {
        frames += n;
        for (float[] channel : block) {
          for (int i = 0; i < n; i++) {
            if (!Float.isFinite(channel[i])) {
              throw new AssertionError("a sample that is no number was let through");
            }
          }
        }
        if (n == 0 || frames > MAX_FRAMES) {
          throw new AssertionError("reading does not end");
        }
      }
      audio.seek(frames / 2);
      audio.read(block, 0, 1000);
    } catch (IOException e) {
      OneLine.require(e.getMessage(), file);
    }
  }
}
