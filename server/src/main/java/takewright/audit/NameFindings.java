package takewright.audit;

import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import takewright.audit.Finding.What;
import takewright.diagnosis.Flag;

/** What is wrong with names. */
final class NameFindings {
  /** If a smaller share of the names holds a note, a name without one is normal. */
  private static final double MIN_NAMED_SHARE = 0.5;

  /** This many similar names without a note, or a number that may be one, need none. */
  private static final int HITS = 3;

  private final List<AuditedFile> files;
  private final NoteReading reading;
  private final int named;
  private final List<Finding> found;

  NameFindings(List<AuditedFile> files, NoteReading reading, int named, List<Finding> found) {
    this.files = files;
    this.reading = reading;
    this.named = named;
    this.found = found;
  }

  void look() {
    long heard = files.stream().filter(f -> f.says() != null && f.pitch() != null).count();
    boolean pitched = heard >= MIN_NAMED_SHARE * named;
    for (AuditedFile file : files) {
      if (file.heard().problem() != null) {
        add(file, What.UNREADABLE, "", "", file.heard().problem());
      } else if (file.says() == null) {
        if (named >= MIN_NAMED_SHARE * files.size() && file.pitch() != null && !needsNone(file)) {
          add(
              file,
              What.NAME_UNREADABLE,
              "",
              sounds(file),
              "the name holds no note, although most names in the folder do");
        }
      } else if (file.pitch() == null) {
        if (pitched && !file.flagged(Flag.SILENT) && !file.isBrief()) {
          add(file, What.NO_PITCH, says(file), "", "the name holds a note, but none is heard");
        }
      } else {
        note(file);
      }
    }
    clashes();
  }

  /** Whether it belongs to an articulation without notes, such as taps. */
  private boolean needsNone(AuditedFile file) {
    String words = file.rest().words();
    int alike = 0;
    for (AuditedFile other : files) {
      if (other.rest().words().equals(words)) {
        if (other.says() != null) {
          return false;
        }
        alike++;
      }
    }
    return alike >= HITS && words.chars().noneMatch(Character::isDigit);
  }

  private void note(AuditedFile file) {
    if (!file.isWrongNote()) {
      return;
    }
    double cents = file.centsOff();
    long octaves = file.octavesOff();
    String how =
        octaves != 0
            ? Math.abs(octaves)
                + (Math.abs(octaves) == 1 ? " octave " : " octaves ")
                + (octaves > 0 ? "higher" : "lower")
                + " than the name says"
            : String.format(
                Locale.ROOT,
                "%.0f cents %s than the name says",
                Math.abs(cents),
                cents > 0 ? "higher" : "lower");
    add(file, What.WRONG_NOTE, says(file), sounds(file), how);
  }

  /**
   * Finds names that are equal on file systems that ignore case, or that say the same of two files.
   */
  private void clashes() {
    Map<String, AuditedFile> names = new HashMap<>();
    Map<String, AuditedFile> cells = new HashMap<>();
    for (AuditedFile file : files) {
      AuditedFile other = names.putIfAbsent(file.file().toLowerCase(Locale.ROOT), file);
      if (other != null) {
        String detail = "is the same name as " + other.file() + " on file systems that ignore case";
        add(file, What.NAME_CLASH, "", "", detail);
      } else if (file.says() != null) {
        other = cells.putIfAbsent(file.says() + " " + file.rest(), file);
        if (other != null) {
          String detail = "says the same as " + other.file();
          add(file, What.NAME_CLASH, says(file), "", detail);
        }
      }
    }
  }

  private String says(AuditedFile file) {
    return reading.name(file.says());
  }

  private String sounds(AuditedFile file) {
    return reading.name(file.sounds());
  }

  private void add(AuditedFile file, What what, String says, String sounds, String detail) {
    found.add(new Finding(file.file(), what, says, sounds, detail, file.pitch()));
  }
}
