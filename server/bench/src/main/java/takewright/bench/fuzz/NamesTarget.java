package takewright.bench.fuzz;

import java.nio.charset.StandardCharsets;
import takewright.name.Name;
import takewright.name.NameFacts;
import takewright.name.NamePattern;
import takewright.name.NamingStyle;
import takewright.name.NoteNames;

/** A pattern, a line break and a name; what a name says makes a name that says the same. */
public final class NamesTarget {
  private NamesTarget() {}

  /** Called by Jazzer. */
  public static void fuzzerTestOneInput(byte[] data) {
    String text = new String(data, StandardCharsets.UTF_8);
    int end = Math.max(0, text.indexOf('\n'));
    NameFacts facts;
    NamingStyle style;
    try {
      style = new NamingStyle(NamePattern.of(text.substring(0, end)), NoteNames.DEFAULTS);
      facts = Name.parse(text.substring(end + 1), style);
    } catch (IllegalArgumentException e) {
      OneLine.require(e.getMessage());
      return;
    }
    String name;
    try {
      name = Name.format(facts, style);
    } catch (IllegalArgumentException e) {
      // A name can be read that would not be given, as one with two spaces.
      OneLine.require(e.getMessage());
      return;
    }
    NameFacts again = Name.parse(name, style);
    if (!Name.format(again, style).equals(name)) {
      throw new AssertionError(name + " reads as " + again + ", which is written otherwise");
    }
  }
}
