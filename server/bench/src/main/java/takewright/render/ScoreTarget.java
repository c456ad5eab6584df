package takewright.render;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import takewright.diagnosis.ProblemException;
import takewright.map.Player;
import takewright.name.NoteNames;

/**
 * A MIDI file or a list of notes, of any bytes, is read or refused. In the package of the reader,
 * which is for the library alone.
 */
public final class ScoreTarget {
  private ScoreTarget() {}

  /** Called by Jazzer. */
  public static void fuzzerTestOneInput(byte[] data) throws IOException {
    Path file = Files.createTempFile("fuzz", ".mid");
    try {
      Files.write(file, data);
      for (Player.NoteEvent note : Score.midi(file)) {
        if (!(note.startS() >= 0 && note.lengthS() >= 0)) {
          throw new AssertionError("a note outside of time: " + note);
        }
      }
    } catch (IOException e) {
      line(e.getMessage());
    } finally {
      Files.delete(file);
    }
    try {
      Score.list(new String(data, StandardCharsets.UTF_8), NoteNames.DEFAULTS);
    } catch (IOException | ProblemException e) {
      line(e.getMessage());
    }
  }

  private static void line(String message) {
    if (message == null || message.isBlank() || message.contains("\n")) {
      throw new AssertionError("is no clear line: " + message);
    }
  }
}
