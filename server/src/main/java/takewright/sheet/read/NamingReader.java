package takewright.sheet.read;

import java.util.LinkedHashMap;
import java.util.Map;
import takewright.diagnosis.SettingException;
import takewright.name.NamePattern;
import takewright.name.NamingStyle;
import takewright.name.NoteNames;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;

/** Reads how the files of a library are named. */
final class NamingReader {
  static final Key<Integer> MIDDLE_C =
      Key.word(
          "middle_c",
          octaves(),
          NoteNames.DEFAULTS.middleC(),
          "What MIDI note 60 is called: C3, C4 or C5.");
  static final Key<Boolean> ACCIDENTALS =
      Key.word(
          "accidentals",
          accidentals(),
          NoteNames.DEFAULTS.flats(),
          "Whether names are spelt with sharps or flats.");
  static final Key<String> SHARP_SIGN =
      Key.word("sharp_sign", signs(), NoteNames.DEFAULTS.sharpSign(), "The sharp sign in names.");
  static final Key<String> NAME =
      Key.text("name", "The pattern of the sample names, with fields in braces.");

  private NamingReader() {}

  static NamingStyle read(Fields sheet) {
    NoteNames notes =
        new NoteNames(sheet.get(MIDDLE_C), sheet.get(ACCIDENTALS), sheet.get(SHARP_SIGN));
    NamePattern pattern = NamePattern.DEFAULT;
    String text = sheet.get(NAME);
    if (text != null) {
      try {
        pattern = NamePattern.of(text);
      } catch (SettingException e) {
        sheet.error(NAME, e.problem().what(), e.problem().remedy());
      }
    }
    return new NamingStyle(pattern, notes);
  }

  private static Map<String, Integer> octaves() {
    Map<String, Integer> octaves = new LinkedHashMap<>();
    octaves.put("C3", 3);
    octaves.put("C4", 4);
    octaves.put("C5", 5);
    return octaves;
  }

  /** Whether they are flats. */
  private static Map<String, Boolean> accidentals() {
    Map<String, Boolean> accidentals = new LinkedHashMap<>();
    accidentals.put("sharp", false);
    accidentals.put("flat", true);
    return accidentals;
  }

  private static Map<String, String> signs() {
    Map<String, String> signs = new LinkedHashMap<>();
    signs.put("#", "#");
    signs.put("s", "s");
    return signs;
  }
}
