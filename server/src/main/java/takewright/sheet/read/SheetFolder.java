package takewright.sheet.read;

import java.nio.file.InvalidPathException;
import java.nio.file.Path;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;

/**
 * Where the names of files in a sheet count from.
 *
 * @param sheet the sheet's own path, absolute
 */
record SheetFolder(Path sheet) {
  /** The path of a file that a key names; null if it cannot be one, which is noted. */
  Path path(Fields fields, Key<?> key, String name) {
    return path(fields, fields.line(key), key.name(), name);
  }

  Path path(Fields fields, int line, String key, String name) {
    try {
      return sheet.resolveSibling(name).normalize();
    } catch (InvalidPathException e) {
      fields.error(line, key, "cannot be a file name: \"" + name + "\"", "correct it");
      return null;
    }
  }
}
