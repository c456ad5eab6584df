package takewright.library.take;

import java.util.List;
import java.util.Locale;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import takewright.audio.marker.Marker;
import takewright.name.NoteNames;
import takewright.sheet.cell.CellName;

/**
 * What the label of a marker says: {@code reject}, or in any order the note, the dynamic and the
 * round robin ("C#4 p rr2"); other words say nothing.
 *
 * <p>A label that is as Takewright wrote it, which the marker's comment says, is not a person's
 * word on what the region is. It is heard and matched anew.
 *
 * @param isRejected whether the region is left out
 * @param cell which cells it may fill
 */
public record MarkerLabel(boolean isRejected, CellName cell) {
  /** The label of a region that is left out. */
  public static final String REJECT = "reject";

  private static final String AS_WRITTEN = "label \"%s\" as heard";
  private static final Pattern WRITTEN = Pattern.compile("label \"(?<label>.*?)\" as heard.*");
  private static final Pattern ROUND_ROBIN = Pattern.compile("rr([1-9][0-9]{0,2})");
  private static final Pattern BETWEEN_WORDS = Pattern.compile("[\\s,;_]+");

  /** The beginning of the comment of a marker with this label. */
  public static String asHeard(String label) {
    return String.format(Locale.ROOT, AS_WRITTEN, label);
  }

  /**
   * Reads a label.
   *
   * @param names how the sheet spells notes
   * @param dynamics those of the take
   */
  static MarkerLabel of(Marker marker, NoteNames names, List<String> dynamics) {
    Matcher written = WRITTEN.matcher(marker.note());
    boolean isAsWritten = written.matches() && written.group("label").equals(marker.label());
    Integer midi = null;
    String dynamic = null;
    Integer rr = null;
    for (String word : BETWEEN_WORDS.split(marker.label().strip())) {
      if (word.equalsIgnoreCase(REJECT)) {
        return new MarkerLabel(true, CellName.ANY);
      }
      Matcher roundRobin = ROUND_ROBIN.matcher(word.toLowerCase(Locale.ROOT));
      if (dynamics.contains(word)) {
        dynamic = word;
      } else if (roundRobin.matches()) {
        rr = Integer.valueOf(roundRobin.group(1));
      } else if (midi == null) {
        midi = note(word, names);
      }
    }
    return new MarkerLabel(false, isAsWritten ? CellName.ANY : new CellName(midi, dynamic, rr));
  }

  private static Integer note(String word, NoteNames names) {
    try {
      return names.parse(word);
    } catch (IllegalArgumentException e) {
      return null;
    }
  }
}
