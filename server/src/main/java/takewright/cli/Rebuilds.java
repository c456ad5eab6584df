package takewright.cli;

import com.google.protobuf.InvalidProtocolBufferException;
import io.grpc.StatusRuntimeException;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.file.Path;
import java.util.Iterator;
import java.util.Locale;
import takewright.cli.show.Texts;
import takewright.v1.BuildChanges;
import takewright.v1.BuildResult;
import takewright.v1.Rebuilt;
import takewright.v1.WatchBuildResponse;

/** Prints a line each time that a library is built again while its page is open. */
final class Rebuilds {
  private final PrintStream err;
  private final PrintStream json;
  private final Iterator<WatchBuildResponse> answers;

  /**
   * @param json where each is printed as JSON; null if it is not
   * @param answers those that follow the result
   */
  Rebuilds(PrintStream err, PrintStream json, Iterator<WatchBuildResponse> answers) {
    this.err = err;
    this.json = json;
    this.answers = answers;
  }

  /**
   * Prints until a line is entered, or the input ends.
   *
   * @param isOwn whether the page closes then
   */
  void untilEnter(Path sheet, boolean isOwn) throws IOException {
    Thread printing = new Thread(this::print, "rebuilds");
    printing.setDaemon(true);
    printing.start();
    err.println(
        "watch: what you decide on the page or save in "
            + sheet.getFileName()
            + " is built at once; press Enter to end"
            + (isOwn ? "" : " (the page stays open as long as the service runs)"));
    int read;
    do {
      read = System.in.read();
    } while (read >= 0 && read != '\n');
  }

  private void print() {
    try {
      while (answers.hasNext()) {
        WatchBuildResponse answer = answers.next();
        err.println("watch: " + line(answer.getRebuilt()));
        if (json != null) {
          json.println(LibraryBuild.JSON.print(answer.getRebuilt()));
        }
      }
    } catch (StatusRuntimeException e) {
      // The command ends, or its service has; then there is nothing to follow.
    } catch (InvalidProtocolBufferException e) {
      throw new IllegalStateException(e); // our own messages can be printed
    }
  }

  /** What came of a build, in one line. */
  static String line(Rebuilt rebuilt) {
    String sheet = rebuilt.getEditedSheet();
    String why = sheet.isEmpty() ? "decided" : Path.of(sheet).getFileName() + " saved";
    if (!rebuilt.hasResult()) {
      String error = rebuilt.getError().replace("`as_written`", "--as-written");
      return why + ", but library and page stay as they were: " + error;
    }
    BuildResult result = rebuilt.getResult();
    return String.format(
        Locale.ROOT,
        "%s: %s of %s, %s missing, %s flagged (%.1f s)",
        why,
        changes(result.getChanges()),
        Texts.count(result.getSamples(), "sample", "samples"),
        Texts.count(result.getMissing(), "cell", "cells"),
        result.getFlagged(),
        rebuilt.getSeconds());
  }

  private static String changes(BuildChanges changes) {
    int added = changes.getSamplesAdded();
    int changed = changes.getSamplesChanged();
    int vanished = changes.getSamplesVanished();
    return added + changed + vanished == 0
        ? "nothing changed"
        : added + " new, " + changed + " changed, " + vanished + " gone";
  }
}
