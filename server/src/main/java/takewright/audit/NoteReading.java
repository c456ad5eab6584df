package takewright.audit;

import java.util.List;
import takewright.audit.SampleName.Token;
import takewright.name.NoteNames;
import takewright.pitch.Pitch;

/**
 * How the notes of a folder are read: which of the things in a name that look like a note is it,
 * and what middle C is called. Both are what most files agree with by ear.
 *
 * @param numbers whether notes stand as MIDI numbers
 * @param digits how many digits they are filled up to with zeros; 0 if they are not
 * @param place which of several, from 0 at the end of the name
 * @param names how they are spelt
 * @param lowerCase whether their letters are small
 * @param agreeing files whose name and sound agree by it
 */
record NoteReading(
    boolean numbers, int digits, int place, NoteNames names, boolean lowerCase, int agreeing) {
  /** A name with more parts that look like notes is not read. */
  private static final int MAX_PLACES = 3;

  /** Numbers may mean anything, so most files must agree with them. */
  private static final double MIN_AGREEING_SHARE = 0.6;

  /** The reading that fits best. {@code heard} has a pitch or null for each name. */
  static NoteReading of(List<SampleName> names, List<Pitch> heard) {
    int bestPlace = 0;
    int maxAgree = -1;
    int maxThere = 0;
    for (int place = 0; place < MAX_PLACES; place++) {
      int there = 0;
      int agree = 0;
      for (int i = 0; i < names.size(); i++) {
        Token token = token(names.get(i), false, place);
        if (token != null) {
          there++;
          Pitch pitch = heard.get(i);
          agree += pitch != null && (pitch.midi() - token.midi()) % 12 == 0 ? 1 : 0;
        }
      }
      if (there > 0 && (agree > maxAgree || (agree == maxAgree && there > maxThere))) {
        bestPlace = place;
        maxAgree = agree;
        maxThere = there;
      }
    }
    long pitched = heard.stream().filter(pitch -> pitch != null).count();
    for (int place = 0; place < MAX_PLACES; place++) {
      int agree = 0;
      for (int i = 0; i < names.size(); i++) {
        Token token = token(names.get(i), true, place);
        Pitch pitch = heard.get(i);
        agree += token != null && pitch != null && pitch.midi() == token.midi() ? 1 : 0;
      }
      if (agree > maxAgree && agree >= MIN_AGREEING_SHARE * pitched) {
        return new NoteReading(true, digits(names, place), place, NoteNames.DEFAULTS, false, agree);
      }
    }
    return spelling(names, heard, bestPlace);
  }

  private static int digits(List<SampleName> names, int place) {
    int digits = 0;
    for (SampleName name : names) {
      Token token = token(name, true, place);
      if (token != null && name.file().charAt(token.start()) == '0') {
        digits = Math.max(digits, token.end() - token.start());
      }
    }
    return digits;
  }

  private static NoteReading spelling(List<SampleName> names, List<Pitch> heard, int place) {
    int[] octaves = new int[3];
    int flats = 0;
    int sharps = 0;
    int letters = 0;
    int small = 0;
    int there = 0;
    for (int i = 0; i < names.size(); i++) {
      Token token = token(names.get(i), false, place);
      if (token == null) {
        continue;
      }
      there++;
      String text = names.get(i).file().substring(token.start(), token.end());
      small += Character.isLowerCase(text.charAt(0)) ? 1 : 0;
      flats += text.indexOf('b', 1) > 0 || text.indexOf('♭') > 0 ? 1 : 0;
      sharps += text.indexOf('#') > 0 ? 1 : 0;
      letters += text.indexOf('s', 1) > 0 ? 1 : 0;
      Pitch pitch = heard.get(i);
      if (pitch != null) {
        int above = pitch.midi() - token.midi();
        // If middle C is called C3, files sound an octave above their names read with C4.
        if (Math.abs(above) <= 12 && above % 12 == 0) {
          octaves[1 - above / 12]++;
        }
      }
    }
    int middleC = 4;
    if (octaves[0] > octaves[1] && octaves[0] >= octaves[2]) {
      middleC = 3;
    } else if (octaves[2] > octaves[1]) {
      middleC = 5;
    }
    NoteNames spelt =
        new NoteNames(middleC, flats > sharps + letters, letters > sharps ? "s" : "#");
    return new NoteReading(
        false, 0, place, spelt, there > 0 && 2 * small > there, octaves[middleC - 3]);
  }

  /** The part of a name that holds its note; null for none. */
  Token token(SampleName name) {
    return token(name, numbers, place);
  }

  private static Token token(SampleName name, boolean numbers, int place) {
    List<Token> tokens = numbers ? name.numbers() : name.notes();
    return place < tokens.size() ? tokens.get(tokens.size() - 1 - place) : null;
  }

  /** The MIDI note that a token says; null if it is beyond the keys. */
  Integer midi(Token token) {
    int midi = numbers ? token.midi() : token.midi() - 12 * (names.middleC() - 4);
    return midi < 0 || midi > 127 ? null : midi;
  }

  /** A note as the folder's names spell it. */
  String spell(int midi) {
    if (numbers) {
      String number = Integer.toString(midi);
      return "0".repeat(Math.max(0, digits - number.length())) + number;
    }
    String spelt = names.spell(midi);
    return lowerCase
        ? spelt.substring(0, 1).toLowerCase(java.util.Locale.ROOT) + spelt.substring(1)
        : spelt;
  }

  /** The name of a note in the folder's own spelling. */
  String name(int midi) {
    return names.spell(midi);
  }
}
