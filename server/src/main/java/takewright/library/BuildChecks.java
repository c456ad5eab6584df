package takewright.library;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import takewright.audio.AudioFile;
import takewright.audio.Recording;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Reason;
import takewright.library.take.CutTake;
import takewright.sheet.Sheet;
import takewright.sheet.Take;
import takewright.sheet.check.Microphones;

/** What must be right before a build begins. */
final class BuildChecks {
  private BuildChecks() {}

  /** Hundreds of files among the takes would make them hard to find, and easy to delete. */
  static void requireNoTakesIn(Path folder, Sheet sheet) throws IOException {
    if (!Files.exists(folder)) {
      return;
    }
    for (Take take : sheet.takes()) {
      for (Path file : take.paths()) {
        if (Files.isSameFile(folder, file.toRealPath().getParent())) {
          throw new FileProblemException(
              Reason.INPUT_INVALID,
              folder.toString(),
              "is the folder that the take " + file.getFileName() + " is in",
              "choose a folder of its own for the library, for instance " + folder + "/library");
        }
      }
    }
  }

  static void requireMicrophonesAlike(Sheet sheet) throws IOException {
    for (Take take : sheet.takes()) {
      if (take.files().size() == 1) {
        continue;
      }
      List<AudioFile> microphones = new ArrayList<>();
      try {
        for (Recording file : take.files().values()) {
          microphones.add(CutTake.open(file));
        }
        Microphones.requireAlike(sheet, take, microphones);
      } finally {
        for (AudioFile microphone : microphones) {
          microphone.close();
        }
      }
    }
  }
}
