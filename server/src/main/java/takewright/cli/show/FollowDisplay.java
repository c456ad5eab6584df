package takewright.cli.show;

import java.io.PrintStream;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import takewright.v1.Cell;
import takewright.v1.CellsMissing;
import takewright.v1.NoteHeard;
import takewright.v1.NoteStatus;
import takewright.v1.NoteVerdict;

/**
 * Prints a followed session: one line per note, a further one where something about it changes, and
 * what is missing. What is wrong with a note is said in the words of its flags, in a terminal below
 * the line where it does not fit. In a terminal, what is missing stands below the lines; elsewhere
 * it is printed when the take ends.
 */
public final class FollowDisplay {
  /** Before what is wrong with a note, where it stands below that note's line. */
  private static final String INDENT = "      ";

  private final PrintStream out;
  private final boolean isTerminal;
  private final int width;
  private final double sampleRate;
  private final Map<Integer, NoteHeard> told = new HashMap<>();

  /** Null before the first report. */
  private CellsMissing missing;

  /** Lines of the block at the bottom. */
  private int standing;

  public FollowDisplay(PrintStream out, boolean isTerminal, int width, double sampleRate) {
    this.out = out;
    this.isTerminal = isTerminal;
    this.width = width;
    this.sampleRate = sampleRate;
  }

  /** A new session begins. */
  public void begin() {
    told.clear();
  }

  /**
   * A note was heard, or what is known about it has changed. Only another verdict is news of a
   * note: that another attempt fills its cell is on the line of that one, and what is missing says
   * which cells are filled.
   */
  public void show(NoteHeard note) {
    NoteHeard before = told.put(note.getNumber(), note);
    boolean isNews =
        before == null
            ? note.getVerdict() != NoteVerdict.NOTE_VERDICT_LEFT_OUT || note.getFlagsCount() > 0
            : before.getVerdict() != note.getVerdict();
    if (isNews) {
      clear();
      out.println(line(note, before != null));
      stand();
    }
  }

  /** What is missing now. */
  public void show(CellsMissing cells) {
    if (!cells.equals(missing)) { // it is repeated after a dropped connection
      clear();
      missing = cells;
      stand();
    }
  }

  /** The take is over. */
  public void end() {
    if (!isTerminal && missing != null) {
      block().forEach(out::println);
    }
    standing = 0;
    out.flush();
  }

  /** Cells that are missing; 0 before the first report. */
  public int missing() {
    return missing == null ? 0 : missing.getCellsCount();
  }

  private String line(NoteHeard note, boolean isCorrection) {
    String cents =
        note.hasPitch()
            ? String.format(Locale.ROOT, "%+d cents", Math.round(note.getPitch().getCents()))
            : "";
    StringBuilder line = new StringBuilder();
    line.append(
        String.format(
            Locale.ROOT,
            "%3d %9.2f s  %-4s %10s  %s %-8s %s",
            note.getNumber(),
            note.getOnsetFrame() / sampleRate,
            note.getNote(),
            cents,
            sign(note.getVerdict()),
            word(note),
            note.hasCell() ? name(note.getCell()) : ""));
    String head = line.toString().stripTrailing();
    String corrected = isCorrection ? "  (corrected)" : "";
    List<String> meanings = Texts.meanings(note.getFlagsList());
    if (meanings.isEmpty()) {
      return head + corrected;
    }
    String whole = head + "  " + String.join("; ", meanings) + corrected;
    return isTerminal && whole.length() > width ? head + corrected + below(meanings) : whole;
  }

  /** Each on lines of its own that fit, since a terminal would break words. */
  private String below(List<String> texts) {
    StringBuilder below = new StringBuilder();
    for (String text : texts) {
      int at = width;
      for (String word : text.split(" ")) {
        boolean fits = at + 1 + word.length() <= width;
        below.append(fits ? " " : "\n" + INDENT).append(word);
        at = (fits ? at + 1 : INDENT.length()) + word.length();
      }
    }
    return below.toString();
  }

  private static String sign(NoteVerdict verdict) {
    return switch (verdict) {
      case NOTE_VERDICT_GOOD -> "+";
      case NOTE_VERDICT_LISTEN -> "?";
      case NOTE_VERDICT_AGAIN -> "!";
      default -> "-";
    };
  }

  private static String word(NoteHeard note) {
    boolean isLeftOut = note.getVerdict() == NoteVerdict.NOTE_VERDICT_LEFT_OUT;
    if (isLeftOut && note.getStatus() == NoteStatus.NOTE_STATUS_WITHDRAWN) {
      return "no note";
    }
    return note.getStatus() == NoteStatus.NOTE_STATUS_RETAKE
        ? "retake"
        : Texts.word(note.getVerdict(), "NOTE_VERDICT_").replace('_', ' ');
  }

  /** A cell without its note, which stands before it. */
  private static String name(Cell cell) {
    return (cell.getDynamic() + " rr" + cell.getRr()).strip();
  }

  private static String full(Cell cell) {
    return (cell.getNote() + " " + name(cell)).strip();
  }

  private void clear() {
    if (standing > 0) {
      // Up to the block's first line and erase from there: ECMA-48, CUU and ED.
      out.print("\u001b[" + standing + "A\u001b[J");
      standing = 0;
    }
  }

  private void stand() {
    if (isTerminal && missing != null) {
      List<String> lines = block();
      lines.forEach(out::println);
      standing = lines.size();
    }
    out.flush();
  }

  /** What is missing, by note, in lines that fit. */
  private List<String> block() {
    if (missing.getCellsCount() == 0) {
      return List.of("nothing is missing");
    }
    Map<String, List<String>> byNote = new LinkedHashMap<>();
    for (Cell cell : missing.getCellsList()) {
      byNote.computeIfAbsent(cell.getNote(), note -> new ArrayList<>()).add(name(cell));
    }
    List<String> lines = new ArrayList<>();
    StringBuilder line =
        new StringBuilder("missing " + missing.getCellsCount())
            .append(missing.hasNext() ? ", next " + full(missing.getNext()) + ":" : ":");
    String separator = " ";
    for (Map.Entry<String, List<String>> note : byNote.entrySet()) {
      String words = (note.getKey() + " " + String.join(", ", note.getValue())).strip();
      if (line.length() + separator.length() + words.length() >= width) {
        lines.add(cut(line.toString()));
        line = new StringBuilder("  ");
        separator = "";
      }
      line.append(separator).append(words);
      separator = "; ";
    }
    lines.add(cut(line.toString()));
    return lines;
  }

  /** A line that is wrapped by the terminal would count as two. */
  private String cut(String line) {
    return isTerminal && line.length() >= width ? line.substring(0, width - 4) + "..." : line;
  }
}
