package takewright.sheet.check;

import java.nio.file.Path;
import java.util.List;
import takewright.audio.AudioFile;
import takewright.audio.Recording;
import takewright.diagnosis.Problem;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;

/** Whether the files of a take can be microphones that were recorded together. */
public final class Microphones {
  private Microphones() {}

  /**
   * Refuses microphones that were not recorded together: cut at the same frames, they would hold
   * different moments.
   */
  public static void requireAlike(Sheet sheet, Take take, List<AudioFile> microphones)
      throws SheetException {
    List<Recording> files = List.copyOf(take.files().values());
    TakeHeader main = TakeHeader.of(microphones.get(0));
    for (int i = 1; i < files.size(); i++) {
      Problem unlike = unlike(files.get(0), main, files.get(i), TakeHeader.of(microphones.get(i)));
      if (unlike != null) {
        throw new SheetException(sheet.file(), SheetProblem.error(take.line(), unlike));
      }
    }
  }

  /** Why two files cannot be microphones of one take; null if they can. */
  static Problem unlike(Recording mainFile, TakeHeader main, Recording file, TakeHeader header) {
    String format = "holds %s with %d %s and %s with %d";
    Path name = file.firstFile().getFileName();
    Path mainName = mainFile.firstFile().getFileName();
    if (header.sampleRate() != main.sampleRate()) {
      return Problem.invalid(
          "files",
          String.format(
              format, mainName, main.sampleRate(), "frames per second", name, header.sampleRate()),
          "name only microphones that were recorded together");
    }
    if (header.frames() != main.frames()) {
      return Problem.invalid(
          "files",
          String.format(format, mainName, main.frames(), "frames", name, header.frames()),
          "export the microphones of a take so that they begin and end together");
    }
    return null;
  }
}
