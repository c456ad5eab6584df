package takewright.name;

import java.util.ArrayList;
import java.util.EnumMap;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Objects;
import java.util.regex.Pattern;
import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;

/**
 * Names samples, and reads their names.
 *
 * <p>Names hold letters A to Z and a to z, digits and "._#+-" only, are at most 200 characters long
 * and are no reserved names of Windows, so every file system takes them. Texts are made to fit
 * first: accents are taken off ("é" is "e"), other characters and the separators of the pattern
 * become "-" (or the next of "_.+" that the pattern does not separate by), and the ends are cut to
 * letters and digits. What is read back are these fitted texts; fitting them again changes nothing.
 */
public final class Name {
  /** Leaves room for an ending and a temporary file's mark within the usual 255 bytes. */
  private static final int MAX_LENGTH = 200;

  /** Device names, with or without an ending (Microsoft, "Naming Files, Paths, and Namespaces"). */
  private static final Pattern RESERVED =
      Pattern.compile("(?i)(CON|PRN|AUX|NUL|COM[0-9]|LPT[0-9])(\\..*)?");

  private static final Pattern AUDIO_ENDING =
      Pattern.compile("(?i)\\.(wav|wave|bwf|aif|aiff|aifc|flac)$");

  private Name() {}

  /**
   * The name of a sample, without folder and ending. Facts that the pattern does not hold are
   * skipped; where there is no root note, so are the pattern's note and midi.
   *
   * @throws IllegalArgumentException if a fact that the pattern holds is missing or leaves nothing
   *     that could stand in a name, or where the name would be too long, be kept by Windows, or not
   *     read back to the same facts
   */
  public static String format(NameFacts facts, NamingStyle style) {
    NamePattern pattern = style.pattern();
    NameFacts fitted = fit(facts, style);
    Layout layout = pattern.layout(facts.midi() != null);
    if (layout == null) {
      throw new SettingException(
          "",
          "name pattern \"" + pattern + "\" cannot name a sample without a note",
          "set the note off by a separator such as _, beside another field");
    }
    String name = layout.write(values(fitted, layout, style));
    if (name.length() > MAX_LENGTH) {
      throw new SettingException(
          "",
          "name \""
              + name.substring(0, 40)
              + "...\" is "
              + name.length()
              + " characters long, and at most "
              + MAX_LENGTH
              + " are allowed",
          "shorten the texts in it");
    }
    if (RESERVED.matcher(name).matches()) {
      throw new SettingException(
          "", "\"" + name + "\" is a reserved name on Windows", "begin it with another word");
    }
    if (!readsBack(name, fitted, style)) {
      throw new SettingException(
          "", "name \"" + name + "\" would not be read back as the same facts", "use other texts");
    }
    return name;
  }

  private static boolean readsBack(String name, NameFacts fitted, NamingStyle style) {
    try {
      return parse(name, style).equals(fitted);
    } catch (IllegalArgumentException e) {
      return false;
    }
  }

  /** The facts that a name of this style holds, as they read back from it. */
  static NameFacts fit(NameFacts facts, NamingStyle style) {
    NamePattern pattern = style.pattern();
    boolean pitch = pattern.holds(NameField.NOTE) || pattern.holds(NameField.MIDI);
    if (pattern.holds(NameField.RR) && facts.rr() == null) {
      throw missing(NameField.RR, pattern);
    }
    return new NameFacts(
        fitText(NameField.LIBRARY, facts, pattern),
        fitText(NameField.ARTICULATION, facts, pattern),
        fitText(NameField.LAYER, facts, pattern),
        pitch ? facts.midi() : null,
        fitText(NameField.DYNAMIC, facts, pattern),
        pattern.holds(NameField.RR) ? facts.rr() : null);
  }

  private static String fitText(NameField field, NameFacts facts, NamePattern pattern) {
    if (!pattern.holds(field)) {
      return null;
    }
    String text = (String) field.of(facts);
    if (text == null) {
      throw missing(field, pattern);
    }
    String fitted = pattern.textRule().sanitise(text);
    if (fitted.isEmpty()) {
      throw new SettingException(
          field.word(),
          "holds nothing that may stand in a name: \"" + text + "\"",
          "use some of " + pattern.textRule().allowed());
    }
    return fitted;
  }

  private static IllegalArgumentException missing(NameField field, NamePattern pattern) {
    return new SettingException(
        field.word(),
        "is not given, but name pattern \"" + pattern + "\" holds {" + field.word() + "}",
        "set it, or remove it from the pattern");
  }

  private static Map<NameField, String> values(NameFacts facts, Layout layout, NamingStyle style) {
    Map<NameField, String> values = new EnumMap<>(NameField.class);
    for (Layout.PatternPart part : layout.parts()) {
      if (part.field() == NameField.NOTE) {
        values.put(part.field(), style.noteNames().spell(facts.midi()));
      } else if (part.field() != null) {
        values.put(part.field(), part.field().of(facts).toString());
      }
    }
    return values;
  }

  /**
   * The facts in a name. A folder before it and an audio ending behind it are skipped; sharps,
   * flats and either sharp sign are understood whatever the style writes.
   *
   * @throws IllegalArgumentException if the name does not fit the pattern
   */
  public static NameFacts parse(String name, NamingStyle style) {
    String bare = name.substring(Math.max(name.lastIndexOf('/'), name.lastIndexOf('\\')) + 1);
    bare = AUDIO_ENDING.matcher(bare).replaceFirst("");
    Map<NameField, String> values = bare.length() > MAX_LENGTH ? null : style.pattern().read(bare);
    if (values == null) {
      throw new SettingException(
          "",
          "\"" + name + "\" does not fit the pattern \"" + style.pattern() + "\"",
          "correct the name or the pattern");
    }
    try {
      return facts(values, style);
    } catch (IllegalArgumentException e) {
      throw of(name, e);
    }
  }

  private static SettingException of(String name, IllegalArgumentException e) {
    Problem problem =
        e instanceof SettingException known
            ? known.problem()
            : Problem.invalid("", String.valueOf(e.getMessage()), "correct the name");
    String subject = problem.field().isEmpty() ? "" : problem.field() + " ";
    String what = "\"" + name + "\": " + subject + problem.what();
    return new SettingException("", what, problem.remedy());
  }

  private static NameFacts facts(Map<NameField, String> values, NamingStyle style) {
    String note = values.get(NameField.NOTE);
    Integer midi = number(values.get(NameField.MIDI));
    if (note != null) {
      int spelt = style.noteNames().parse(note);
      if (midi != null && midi != spelt) {
        throw new SettingException(
            "", "note " + note + " is MIDI " + spelt + ", not " + midi, "correct one of them");
      }
      midi = spelt;
    }
    return new NameFacts(
        values.get(NameField.LIBRARY),
        values.get(NameField.ARTICULATION),
        values.get(NameField.LAYER),
        midi,
        values.get(NameField.DYNAMIC),
        number(values.get(NameField.RR)));
  }

  private static Integer number(String digits) {
    return digits == null ? null : Integer.valueOf(digits);
  }

  /**
   * The names of several samples, in their order.
   *
   * @throws IllegalArgumentException if two would have the same name on a file system that ignores
   *     case; says which two, and which field the pattern lacks; and as {@link #format}
   */
  public static List<String> formatAll(List<NameFacts> samples, NamingStyle style) {
    List<String> names = new ArrayList<>(samples.size());
    Map<String, NameFacts> taken = new HashMap<>();
    for (NameFacts facts : samples) {
      String name = format(facts, style);
      NameFacts other = taken.put(name.toLowerCase(Locale.ROOT), facts);
      if (other != null) {
        throw clash(name, other, facts, style);
      }
      names.add(name);
    }
    return names;
  }

  private static SettingException clash(
      String name, NameFacts one, NameFacts two, NamingStyle style) {
    List<String> differences = new ArrayList<>();
    String lacking = null;
    for (NameField field : NameField.values()) {
      Object a = field.of(one);
      Object b = field.of(two);
      if (field == NameField.NOTE || Objects.equals(a, b)) {
        continue;
      }
      differences.add(field.word() + " " + a + " and " + b);
      boolean held =
          style.pattern().holds(field)
              || (field == NameField.MIDI && style.pattern().holds(NameField.NOTE));
      if (!held && lacking == null) {
        lacking = field == NameField.MIDI ? NameField.NOTE.word() : field.word();
      }
    }
    String what = "gives two samples the name \"" + name + "\"";
    if (differences.isEmpty()) {
      return new SettingException(
          "name",
          what + ", as they are the same in everything (" + describe(one) + ")",
          "leave one out");
    }
    return new SettingException(
        "name",
        what + " (" + String.join(", ", differences) + ")",
        lacking == null
            ? "give them texts that differ in more than case and punctuation"
            : "add {" + lacking + "} to the name pattern");
  }

  private static String describe(NameFacts facts) {
    List<String> parts = new ArrayList<>();
    for (NameField field : NameField.values()) {
      if (field != NameField.NOTE && field.of(facts) != null) {
        parts.add(field.word() + " " + field.of(facts));
      }
    }
    return String.join(", ", parts);
  }
}
