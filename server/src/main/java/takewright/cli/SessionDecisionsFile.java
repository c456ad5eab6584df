package takewright.cli;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.Locale;
import takewright.audio.original.AtomicFile;
import takewright.v1.Cell;
import takewright.v1.SessionDecision;
import takewright.v1.SessionDecisions;
import takewright.v1.SessionVerdict;

/** Writes what was decided on a session's board as a file that {@code build --decisions} reads. */
final class SessionDecisionsFile {
  private final Path file;
  private final String take;

  /**
   * @param take its file name in the sheet
   */
  SessionDecisionsFile(Path file, String take) {
    this.file = file;
    this.take = take;
  }

  /**
   * Writes the file, instead of one that a session wrote before.
   *
   * @throws IOException if a file is there that Takewright did not write
   */
  void write(SessionDecisions decisions) throws IOException {
    StringBuilder text = new StringBuilder();
    text.append("# What was decided while ").append(take).append(" was recorded.\n");
    text.append("takes:\n  - file: ").append(quoted(take)).append("\n    fixes:\n");
    for (SessionDecision decision : decisions.getDecisionsList()) {
      text.append("      - ").append(fix(decision)).append("\n");
    }
    String content = decisions.getDecisionsCount() == 0 ? "takes: []\n" : text.toString();
    AtomicFile.writeTable(file, content.getBytes(StandardCharsets.UTF_8));
  }

  private static String fix(SessionDecision decision) {
    if (decision.getVerdict() == SessionVerdict.SESSION_VERDICT_SKIP) {
      Cell cell = decision.getCell();
      return "{"
          + (cell.getNote().isEmpty() ? "" : "note: " + quoted(cell.getNote()) + ", ")
          + (cell.getDynamic().isEmpty() ? "" : "dynamic: " + quoted(cell.getDynamic()) + ", ")
          + "rr: "
          + cell.getRr()
          + ", accept: [missing]}";
    }
    return String.format(
        Locale.ROOT,
        "{at: %.2f, %s: yes}",
        decision.getAtS(),
        decision.getVerdict() == SessionVerdict.SESSION_VERDICT_KEEP ? "keep" : "drop");
  }

  /** In single quotes, as YAML 1.2 reads them: a quote in the text is doubled. */
  private static String quoted(String text) {
    return "'" + text.replace("'", "''") + "'";
  }
}
