package takewright.sheet.read;

import takewright.sheet.About;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;
import takewright.sheet.read.yaml.Section;

/** Reads what is told of a library in its files. */
final class AboutReader {
  /** Longer texts belong in a file of their own. */
  private static final int MAX_LENGTH = 500;

  private static final Key<String> PLAYER = Key.text("player", "Who played.");
  private static final Key<String> INSTRUMENT = Key.text("instrument", "What was played.");
  private static final Key<String> ROOM = Key.text("room", "Where it was recorded.");
  private static final Key<String> MICROPHONES =
      Key.text("microphones", "The microphones and where they stood.");
  private static final Key<String> LICENCE =
      Key.text("licence", "What may be done with the files.");
  private static final Key<String> CREDIT =
      Key.text("credit", "How to name those who made the library.");
  static final Key<Fields> ABOUT =
      Key.section(
          "about",
          Section.of("`about`", PLAYER, INSTRUMENT, ROOM, MICROPHONES, LICENCE, CREDIT),
          "What the files say of the library beyond its notes.");

  private AboutReader() {}

  static About read(Fields sheet) {
    Fields fields = sheet.get(ABOUT);
    return fields == null
        ? About.NOTHING
        : new About(
            text(fields, PLAYER),
            text(fields, INSTRUMENT),
            text(fields, ROOM),
            text(fields, MICROPHONES),
            text(fields, LICENCE),
            text(fields, CREDIT));
  }

  private static String text(Fields fields, Key<String> key) {
    String text = fields.get(key);
    if (text != null && text.length() > MAX_LENGTH) {
      fields.error(key, "is longer than " + MAX_LENGTH + " characters", "shorten it");
      return null;
    }
    // A line of a sheet may be folded over several.
    return text == null ? null : text.replaceAll("\\s+", " ");
  }
}
