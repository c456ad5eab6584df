package takewright.sheet.check;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.List;
import takewright.audio.AudioFile;
import takewright.audio.BadAudioException;
import takewright.audio.Recording;
import takewright.diagnosis.FileProblems;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;
import takewright.sheet.SheetProblem;

/** Reads the headers of the files that a sheet names; notes those that cannot be read. */
final class Headers {
  /** Opens a recording. */
  interface Opener {
    AudioFile open(Recording recording) throws IOException;
  }

  private final Opener opener;
  private final List<SheetProblem> problems;

  /**
   * @param problems receives what cannot be read
   */
  Headers(Opener opener, List<SheetProblem> problems) {
    this.opener = opener;
    this.problems = problems;
  }

  /** The header of a recording; null if it cannot be read, which is noted. */
  TakeHeader read(int line, Recording recording, String key) {
    String name = String.valueOf(recording.firstFile().getFileName());
    for (Path file : recording.files()) {
      String nameOfFile = String.valueOf(file.getFileName());
      if (Files.isDirectory(file)) {
        problems.add(
            SheetProblem.error(
                line, key, "names " + nameOfFile + ", which is a folder", "name an audio file"));
        return null;
      }
      if (!Files.exists(file)) {
        problems.add(notThere(line, nameOfFile, key));
        return null;
      }
    }
    try (AudioFile audio = opener.open(recording)) {
      TakeHeader header = TakeHeader.of(audio);
      if (header.frames() <= 0) {
        problems.add(
            SheetProblem.error(
                line, key, "names " + name + ", which holds no audio", "export it again"));
        return null;
      }
      return header;
    } catch (NoSuchFileException e) {
      problems.add(notThere(line, name, key));
    } catch (IOException e) {
      boolean isOfAnother = e instanceof BadAudioException bad && bad.file() != null;
      String whose =
          isOfAnother
              ? String.valueOf(Path.of(((BadAudioException) e).file()).getFileName())
              : name;
      problems.add(SheetProblem.error(line, unreadable(e, whose).of(key)));
    }
    return null;
  }

  static SheetProblem notThere(int line, String name, String key) {
    return SheetProblem.error(
        line,
        key,
        "names " + name + ", which does not exist",
        "correct the path, which counts from the folder of the sheet, or put the file there");
  }

  /** Why a file that exists cannot be read. */
  static Problem unreadable(IOException e, String name) {
    if (e instanceof BadAudioException bad) {
      String what = "names " + name + ", which " + bad.what();
      return new Problem(Reason.AUDIO_UNREADABLE, "", what, bad.remedy());
    }
    Problem known = FileProblems.of(e);
    String why = known == null ? String.valueOf(e.getMessage()) : known.what();
    String remedy = known == null ? "check the disk" : known.remedy();
    return Problem.invalid("", "names " + name + ", which cannot be read: " + why, remedy);
  }
}
