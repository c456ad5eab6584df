package takewright.sheet.read;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import takewright.audio.AudioFile;
import takewright.audio.BadAudioException;
import takewright.diagnosis.FileProblems;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;
import takewright.name.Name;
import takewright.name.NameFacts;
import takewright.sheet.Decision;
import takewright.sheet.Layer;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;

/** Says everything that is wrong or missing in a sheet and its takes. Writes nothing. */
public final class Check {
  /**
   * The shortest a played note takes, the silence behind it included, in seconds: 50 ms of sound,
   * the shortest that is kept, and a breath of the same length. From memory: fast repeated notes
   * are played at most twelve a second, and never so for a library.
   */
  private static final double MIN_CELL_S = 0.1;

  /** Opens an audio file. */
  interface Opener {
    AudioFile open(Path file) throws IOException;
  }

  private final Opener opener;
  private final List<SheetProblem> problems = new ArrayList<>();

  private Check(Opener opener) {
    this.opener = opener;
  }

  /** Checks a sheet and the headers of its takes. What is wrong is in the report, never thrown. */
  public static CheckReport apply(Path sheetFile) {
    return apply(sheetFile, AudioFile::open);
  }

  static CheckReport apply(Path sheetFile, Opener opener) {
    try {
      return new Check(opener).run(SheetReader.readAll(sheetFile));
    } catch (SheetException e) {
      return failed(e.line(), e.problem().elsewhere());
    } catch (IOException e) {
      return failed(0, unreadable(e, String.valueOf(sheetFile.getFileName())));
    }
  }

  private static CheckReport failed(int line, Problem problem) {
    return new CheckReport(List.of(SheetProblem.error(line, problem)), 0, 0, 0);
  }

  private CheckReport run(SheetReader.Outcome outcome) {
    problems.addAll(outcome.problems());
    Sheet sheet = outcome.sheet();
    if (sheet == null) {
      return new CheckReport(problems, 0, 0, 0);
    }
    int cells = sheet.takes().stream().mapToInt(Take::cellCount).sum();
    if (outcome.problems().isEmpty()) {
      checkNames(sheet, outcome.nameLine());
    }
    checkImpulses(sheet);
    double durationS = 0;
    Map<Path, Take> seen = new HashMap<>();
    for (Take take : sheet.takes()) {
      checkLayers(sheet, take);
      durationS += checkFiles(take, seen);
    }
    problems.sort((a, b) -> Integer.compare(a.line(), b.line()));
    return new CheckReport(problems, cells, sheet.takes().size(), durationS);
  }

  private void checkNames(Sheet sheet, int nameLine) {
    List<NameFacts> facts = new ArrayList<>();
    for (Take take : sheet.takes()) {
      for (Layer layer : sheet.layers(take)) {
        sheet.cells(take).forEach(cell -> facts.add(sheet.facts(cell, layer)));
      }
    }
    try {
      Name.formatAll(facts, sheet.naming());
    } catch (IllegalArgumentException e) {
      problems.add(SheetProblem.error(nameLine, "name", e));
    }
  }

  private void checkImpulses(Sheet sheet) {
    for (Layer layer : sheet.layers()) {
      if (layer.impulse() != null) {
        Header impulse =
            header(layer.line(), "impulse of layer " + layer.name(), layer.impulse(), "impulse");
        if (impulse != null && impulse.channels == 3) {
          problems.add(
              SheetProblem.error(
                  layer.line(),
                  "impulse",
                  "of layer " + layer.name() + " has 3 channels",
                  "use one of 1, 2 or 4 channels"));
        }
      }
    }
  }

  private void checkLayers(Sheet sheet, Take take) {
    for (Layer layer : sheet.layers()) {
      if (layer.isRecorded() && !take.files().containsKey(layer.name())) {
        problems.add(
            SheetProblem.warning(
                take.line(),
                "files",
                "of take "
                    + take.name()
                    + " has none for layer \""
                    + layer.name()
                    + "\", so its samples lack it",
                "name one"));
      }
    }
  }

  /** Checks the files of a take; gives its length in seconds. */
  private double checkFiles(Take take, Map<Path, Take> seen) {
    Header main = null;
    boolean first = true;
    for (Map.Entry<String, Path> entry : take.files().entrySet()) {
      Path file = entry.getValue();
      Take other = seen.putIfAbsent(file, take);
      if (other != null) {
        problems.add(
            SheetProblem.warning(
                take.line(),
                "",
                file.getFileName() + " is a file of the take on line " + other.line() + " too",
                "correct one of them if that is not meant"));
      }
      Header header = header(take.line(), "take", file, first ? "file" : entry.getKey());
      if (first) {
        main = header;
      } else if (main != null && header != null) {
        compare(take, main, file, header);
      }
      first = false;
    }
    if (main == null) {
      return 0;
    }
    checkLength(take, main);
    checkDecisions(take, main);
    return main.lengthS();
  }

  private void compare(Take take, Header main, Path file, Header header) {
    Problem unlike = unlike(take.mainFile(), main, file, header);
    if (unlike != null) {
      problems.add(SheetProblem.error(take.line(), unlike));
    }
  }

  /** Why two files cannot be microphones of one take; null if they can. */
  private static Problem unlike(Path mainFile, Header main, Path file, Header header) {
    String format = "holds %s with %d %s and %s with %d";
    Path name = file.getFileName();
    Path mainName = mainFile.getFileName();
    if (header.sampleRate != main.sampleRate) {
      return Problem.invalid(
          "files",
          String.format(
              format, mainName, main.sampleRate, "frames per second", name, header.sampleRate),
          "name only microphones that were recorded together");
    }
    if (header.frames != main.frames) {
      return Problem.invalid(
          "files",
          String.format(format, mainName, main.frames, "frames", name, header.frames),
          "export the microphones of a take so that they begin and end together");
    }
    return null;
  }

  /**
   * Refuses microphones that were not recorded together: cut at the same frames, they would hold
   * different moments.
   */
  public static void requireAlike(Sheet sheet, Take take, List<AudioFile> microphones)
      throws SheetException {
    List<Path> files = List.copyOf(take.files().values());
    Header main = Header.of(microphones.get(0));
    for (int i = 1; i < files.size(); i++) {
      Problem unlike = unlike(files.get(0), main, files.get(i), Header.of(microphones.get(i)));
      if (unlike != null) {
        throw new SheetException(sheet.file(), SheetProblem.error(take.line(), unlike));
      }
    }
  }

  private void checkLength(Take take, Header header) {
    Double barsS = take.barsLengthS();
    double needsS = take.cellCount() * (barsS == null ? MIN_CELL_S : barsS);
    if (header.lengthS() < needsS) {
      problems.add(
          SheetProblem.warning(
              take.line(),
              "",
              String.format(
                  Locale.ROOT,
                  "take %s is %.1f s long, too short for the %d samples it should hold (%.1f s at"
                      + " least)",
                  take.name(),
                  header.lengthS(),
                  take.cellCount(),
                  needsS),
              "check its notes, dynamics, round_robins"
                  + (barsS == null ? "" : ", tempo_bpm and bars")));
    }
  }

  private void checkDecisions(Take take, Header header) {
    for (Decision decision : take.decisions()) {
      if (decision.fromS() >= header.lengthS()) {
        problems.add(
            SheetProblem.warning(
                decision.line(),
                decision.key(),
                String.format(
                    Locale.ROOT,
                    "names %s, but %s is only %.1f s long",
                    decision.text(),
                    take.name(),
                    header.lengthS()),
                "correct the time"));
      }
    }
  }

  private record Header(int sampleRate, long frames, int channels) {
    static Header of(AudioFile file) {
      return new Header(file.sampleRate(), file.frames(), file.channels());
    }

    double lengthS() {
      return (double) frames / sampleRate;
    }
  }

  /** The header of a file; null if it cannot be read, which is noted. */
  private Header header(int line, String what, Path file, String key) {
    String name = what + " " + file.getFileName();
    if (Files.isDirectory(file)) {
      problems.add(SheetProblem.error(line, key, "names a folder: " + name, "name an audio file"));
      return null;
    }
    if (!Files.exists(file)) {
      problems.add(notThere(line, name, key));
      return null;
    }
    try (AudioFile audio = opener.open(file)) {
      Header header = Header.of(audio);
      if (header.frames <= 0) {
        problems.add(
            SheetProblem.error(
                line, key, "names " + name + ", which holds no audio", "export it again"));
        return null;
      }
      return header;
    } catch (NoSuchFileException e) {
      problems.add(notThere(line, name, key));
    } catch (IOException e) {
      problems.add(SheetProblem.error(line, unreadable(e, name).of(key)));
    }
    return null;
  }

  private static SheetProblem notThere(int line, String name, String key) {
    return SheetProblem.error(
        line,
        key,
        "names " + name + ", which does not exist",
        "correct the path, which counts from the folder of the sheet, or put the file there");
  }

  /** Why a file that exists cannot be read. */
  private static Problem unreadable(IOException e, String name) {
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
