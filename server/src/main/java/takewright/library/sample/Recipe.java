package takewright.library.sample;

import java.io.IOException;
import java.lang.reflect.RecordComponent;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.HexFormat;
import java.util.List;
import takewright.audio.AudioPiece;
import takewright.audio.Recording;

/**
 * All that the bytes of a file follow from, each input under its name. Its digest tells whether a
 * file that is there is the one that a build would make.
 */
public final class Recipe {
  private final StringBuilder inputs = new StringBuilder();

  /** Adds a number, a text, a word or nothing at all. */
  Recipe add(String name, Object value) {
    if (value != null
        && !(value instanceof Number
            || value instanceof String
            || value instanceof Boolean
            || value instanceof Enum<?>)) {
      throw new IllegalArgumentException(name + " has parts; name each of them");
    }
    String text = String.valueOf(value);
    // With its length, so that no text can look like further inputs.
    inputs.append(name).append('=').append(text.length()).append(':').append(text).append('\n');
    return this;
  }

  /** Adds values that stand in an order. */
  Recipe addAll(String name, List<?> values) {
    add(name, values.size());
    for (int i = 0; i < values.size(); i++) {
      add(name + "." + i, values.get(i));
    }
    return this;
  }

  /** Adds settings of an operation, each under its own name; nothing where there are none. */
  Recipe addSettings(String name, Record settings) {
    if (settings == null) {
      return add(name, null);
    }
    add(name, settings.getClass().getSimpleName());
    try {
      for (RecordComponent part : settings.getClass().getRecordComponents()) {
        add(name + "." + part.getName(), part.getAccessor().invoke(settings));
      }
    } catch (ReflectiveOperationException e) {
      throw new IllegalStateException("the settings of " + name + " cannot be read", e);
    }
    return this;
  }

  /** Adds a file that is read, by its size and time. */
  Recipe addFile(String name, Path file) throws IOException {
    return add(name, file.getFileName().toString())
        .add(name + ".size", Files.size(file))
        .add(name + ".modified", Files.getLastModifiedTime(file).toMillis());
  }

  /** Adds a recording: its files, and which of their channels. */
  Recipe addRecording(String name, Recording recording) throws IOException {
    add(name, recording.pieces().size());
    for (int i = 0; i < recording.pieces().size(); i++) {
      AudioPiece piece = recording.pieces().get(i);
      addFile(name + "." + i, piece.file())
          .add(name + "." + i + ".first_channel", piece.firstChannel())
          .add(name + "." + i + ".last_channel", piece.lastChannel());
    }
    return this;
  }

  /** The digest of all inputs so far. */
  String digest() {
    return digest(inputs.toString());
  }

  /** A digest of a text. */
  public static String digest(String text) {
    try {
      MessageDigest digest = MessageDigest.getInstance("SHA-256");
      return HexFormat.of().formatHex(digest.digest(text.getBytes(StandardCharsets.UTF_8)));
    } catch (NoSuchAlgorithmException e) {
      throw new IllegalStateException("every Java has SHA-256", e);
    }
  }
}
