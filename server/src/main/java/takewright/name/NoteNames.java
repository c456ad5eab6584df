package takewright.name;

import java.util.List;
import java.util.Locale;
import java.util.Map;
import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;

/**
 * How notes are spelt. MIDI note 60 is middle C (MIDI 1.0), note 69 the A that ISO 16 sets at 440
 * Hz; only the octave number of middle C is a convention.
 *
 * @param middleC octave number of MIDI note 60: 3, 4 or 5
 * @param flats true: Db; false: C#
 * @param sharpSign "#" or "s", the sign in names that are written; both are read
 */
public record NoteNames(int middleC, boolean flats, String sharpSign) {
  /** Middle C is C4, accidentals are sharps, written "#". */
  public static final NoteNames DEFAULTS = new NoteNames(4, false, "#");

  private static final int MIDDLE_C = 60;
  private static final int HIGHEST = 127;
  private static final String LETTERS = "CDEFGAB";

  /** Semitones above C of the letters C to B. */
  private static final int[] WHITE_KEYS = {0, 2, 4, 5, 7, 9, 11};

  private static final String[] SHARPS = {
    "C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"
  };
  private static final String[] FLATS = {
    "C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"
  };

  public NoteNames {
    if (middleC < 3 || middleC > 5) {
      throw new SettingException("middle_c", "is C" + middleC, "give C3, C4 or C5");
    }
    if (!"#".equals(sharpSign) && !"s".equals(sharpSign)) {
      throw new SettingException("sharp_sign", "is \"" + sharpSign + "\"", "give # or s");
    }
  }

  /**
   * The spelling that some names follow, such as those of a table. Where they contradict each other
   * it is that of most; where none is a note it is {@link #DEFAULTS}.
   *
   * @param spelt names, and the MIDI note number of each
   */
  public static NoteNames of(Map<String, Integer> spelt) {
    NoteNames best = DEFAULTS;
    long most = 0;
    for (int middleC = 3; middleC <= 5; middleC++) {
      for (boolean flats : new boolean[] {false, true}) {
        for (String sharpSign : List.of("#", "s")) {
          NoteNames names = new NoteNames(middleC, flats, sharpSign);
          long fitting =
              spelt.entrySet().stream()
                  .filter(note -> names.spell(note.getValue()).equals(note.getKey()))
                  .count();
          if (fitting > most || (fitting == most && names.equals(DEFAULTS))) {
            best = names;
            most = fitting;
          }
        }
      }
    }
    return best;
  }

  /**
   * The name of a note, as "C#4" or "Db4".
   *
   * @param midi MIDI note number, 0 to 127
   */
  public String spell(int midi) {
    if (midi < 0 || midi > HIGHEST) {
      throw new SettingException(Problem.outOfRange("midi", midi, 0, 127, ""));
    }
    String[] names = flats ? FLATS : SHARPS;
    int octave = midi / 12 - MIDDLE_C / 12 + middleC;
    return names[midi % 12].replace("#", sharpSign) + octave;
  }

  /**
   * The MIDI note number of a name, 0 to 127: a letter in either case, then accidentals ("#", "s",
   * "♯" or "b", "♭", each up to twice, or "x"), then the octave, which may be negative. "Cb4" is
   * the B below C4, "B#3" is C4. The first letter is always the note, so "bb3" is B flat.
   *
   * @throws IllegalArgumentException if it is not a note, or one beyond MIDI's
   */
  public int parse(String text) {
    String trimmed = text.strip();
    int letter =
        trimmed.isEmpty() ? -1 : LETTERS.indexOf(trimmed.substring(0, 1).toUpperCase(Locale.ROOT));
    if (letter < 0) {
      throw notANote(text);
    }
    int at = 1;
    while (at < trimmed.length() && trimmed.charAt(at) != '-' && !isDigit(trimmed.charAt(at))) {
      at++;
    }
    Integer semitones = semitones(trimmed.substring(1, at));
    String octave = trimmed.substring(at);
    // Two digits are enough for every MIDI note.
    if (semitones == null || !octave.matches("-?[0-9]{1,2}")) {
      throw notANote(text);
    }
    int midi =
        MIDDLE_C + 12 * (Integer.parseInt(octave) - middleC) + WHITE_KEYS[letter] + semitones;
    if (midi < 0 || midi > HIGHEST) {
      throw new SettingException(
          "note",
          "is beyond the keys: \"" + text + "\"",
          "give a note from "
              + spell(0)
              + " to "
              + spell(HIGHEST)
              + ", where middle C is C"
              + middleC);
    }
    return midi;
  }

  private static Integer semitones(String accidental) {
    return switch (accidental.toLowerCase(Locale.ROOT).replace('♯', '#').replace('♭', 'b')) {
      case "" -> 0;
      case "#", "s" -> 1;
      case "##", "ss", "x" -> 2;
      case "b" -> -1;
      case "bb" -> -2;
      default -> null;
    };
  }

  private static boolean isDigit(char c) {
    return c >= '0' && c <= '9';
  }

  private static IllegalArgumentException notANote(String text) {
    return new SettingException(
        "note", "is not a note: \"" + text + "\"", "write it like C4, F#3, Bb2 or C-1");
  }
}
