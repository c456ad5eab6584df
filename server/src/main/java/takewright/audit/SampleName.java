package takewright.audit;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import takewright.name.NoteNames;

/**
 * What can be read from one file's name without a sheet.
 *
 * @param file relative to the folder, with "/"
 * @param notes what may be a note: where it stands, and which it is if middle C is C4
 * @param numbers what may be a MIDI note number
 */
record SampleName(String file, List<Token> notes, List<Token> numbers) {
  /**
   * A letter, an accidental, an octave; not within a word, except as in "vlnA3", "A3v1" and
   * "A3rr1".
   */
  private static final Pattern NOTE =
      Pattern.compile(
          "(?:(?<![A-Za-z0-9])[A-Ga-g]|(?<=[a-z])[A-G])(?:##|#|ss|s|x|bb|b|♯|♭)?(?:-[12]|[0-9])"
              + "(?:(?![0-9A-Za-z#])|(?=v[0-9])|(?=rr))");

  private static final Pattern NUMBER =
      Pattern.compile("(?<![0-9A-Za-z])[0-9]{2,3}(?![0-9A-Za-z])");
  private static final Pattern BETWEEN = Pattern.compile("[^A-Za-z0-9]+");
  private static final Pattern DYNAMIC =
      Pattern.compile("p{1,4}|mp|mf|f{1,4}|(?:vel|v|dyn)[0-9]{1,3}");
  private static final Pattern ROUND_ROBIN =
      Pattern.compile("(?:rr|roundrobin|take|tk|alt)?([0-9]{1,4})");

  /** A part of the name, and its MIDI note. */
  record Token(int start, int end, int midi) {}

  /**
   * What the rest of a name says.
   *
   * @param words folder and words in lower case: articulation, layer, library
   * @param dynamic as written, in lower case; empty for none
   * @param rr the round robin; null for none
   */
  record Rest(String words, String dynamic, Integer rr) {}

  static SampleName of(String file) {
    int slash = file.lastIndexOf('/') + 1;
    int dot = Math.max(slash, file.lastIndexOf('.'));
    // Matched in the whole path, so that positions count from its start; the folder is ignored.
    return new SampleName(file, notes(file, slash, dot), numbers(file, slash, dot));
  }

  private static List<Token> notes(String file, int from, int to) {
    List<Token> found = new ArrayList<>();
    Matcher matcher = NOTE.matcher(file).region(from, to).useTransparentBounds(true);
    while (matcher.find()) {
      try {
        int midi = NoteNames.DEFAULTS.parse(matcher.group());
        found.add(new Token(matcher.start(), matcher.end(), midi));
      } catch (IllegalArgumentException e) {
        // Outside the keys: not a note.
      }
    }
    return found;
  }

  private static List<Token> numbers(String file, int from, int to) {
    List<Token> found = new ArrayList<>();
    Matcher matcher = NUMBER.matcher(file).region(from, to).useTransparentBounds(true);
    while (matcher.find()) {
      int number = Integer.parseInt(matcher.group());
      if (number <= 127) {
        found.add(new Token(matcher.start(), matcher.end(), number));
      }
    }
    return found;
  }

  /** The rest of the name beside its note, which stands at {@code note} or nowhere (null). */
  Rest rest(Token note) {
    int slash = file.lastIndexOf('/') + 1;
    int dot = Math.max(slash, file.lastIndexOf('.'));
    String text =
        note == null
            ? file.substring(0, dot)
            : file.substring(0, note.start()) + " " + file.substring(note.end(), dot);
    List<String> words = new ArrayList<>();
    String dynamic = "";
    Integer rr = null;
    for (String word : BETWEEN.split(text.toLowerCase(Locale.ROOT))) {
      Matcher number = ROUND_ROBIN.matcher(word);
      if (DYNAMIC.matcher(word).matches()) {
        dynamic = word;
      } else if (number.matches()) {
        rr = Integer.valueOf(number.group(1));
      } else if (!word.isEmpty()) {
        words.add(word);
      }
    }
    return new Rest(String.join(" ", words), dynamic, rr);
  }

  /** The name with another note. */
  String with(Token note, String spelt) {
    return file.substring(0, note.start()) + spelt + file.substring(note.end());
  }
}
