package takewright.audit;

import java.util.List;

/**
 * What an audit came to.
 *
 * @param files samples that were looked at
 * @param findings what was found
 * @param middleC what MIDI note 60 is called, "C3", "C4" or "C5"; empty if names say no notes
 * @param agreeing files whose name and sound agree by that
 * @param named files whose names say a note
 * @param renames what would put the names right
 * @param left wrong names that a new one cannot be given, and why, one line each
 */
public record AuditReport(
    int files,
    int findings,
    String middleC,
    int agreeing,
    int named,
    List<RenamePlan.Rename> renames,
    List<String> left) {
  public AuditReport {
    renames = List.copyOf(renames);
    left = List.copyOf(left);
  }
}
