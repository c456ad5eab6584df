package takewright.sheet.read;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashSet;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import takewright.audio.AudioFile;
import takewright.audio.BadAudioException;
import takewright.audio.Markers;
import takewright.audio.Recording;
import takewright.diagnosis.FileProblems;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;
import takewright.name.Name;
import takewright.name.NameFacts;
import takewright.sheet.Layer;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.SheetProblem;
import takewright.sheet.Span;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;
import takewright.sheet.decision.Decision;

/** Says everything that is wrong or missing in a sheet and its takes. Writes nothing. */
public final class Check {
  /**
   * The shortest a played note takes, the silence behind it included, in seconds: 50 ms of sound,
   * the shortest that is kept, and a breath of the same length. From memory: fast repeated notes
   * are played at most twelve a second, and never so for a library.
   */
  private static final double MIN_CELL_S = 0.1;

  /** Opens a recording. */
  interface Opener {
    AudioFile open(Recording recording) throws IOException;
  }

  private final Opener opener;
  private final List<SheetProblem> problems = new ArrayList<>();

  private Check(Opener opener) {
    this.opener = opener;
  }

  /** Checks a sheet and the headers of its takes. What is wrong is in the report, never thrown. */
  public static CheckReport apply(Path sheetFile) {
    return apply(sheetFile, Recording::open);
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
    int cells = cells(sheet);
    if (outcome.problems().isEmpty()) {
      checkNames(sheet, outcome.nameLine());
    }
    checkImpulses(sheet);
    problems.addAll(TemplateCheck.of(sheet));
    double durationS = 0;
    List<Take> seen = new ArrayList<>();
    for (Take take : sheet.takes()) {
      checkLayers(sheet, take);
      double lengthS = checkFiles(take, seen);
      durationS += lengthS;
      if (lengthS > 0) {
        problems.addAll(FixReader.misfits(sheet, take, take.span().fromS() + lengthS));
      }
    }
    problems.sort((a, b) -> Integer.compare(a.line(), b.line()));
    return new CheckReport(problems, cells, sheet.takes().size(), durationS);
  }

  /** How many samples are asked for; those of pick-ups, where others ask for them, once. */
  private static int cells(Sheet sheet) {
    Set<List<Object>> cells = new HashSet<>();
    for (Cell cell : sheet.cells()) {
      cells.add(Arrays.asList(cell.articulation(), cell.midi(), cell.dynamic(), cell.rr()));
    }
    return cells.size();
  }

  private void checkNames(Sheet sheet, int nameLine) {
    // A pick-up asks for cells of other takes.
    Set<NameFacts> facts = new LinkedHashSet<>();
    for (Take take : sheet.takes()) {
      for (Layer layer : sheet.layers(take)) {
        sheet.cells(take).forEach(cell -> facts.add(sheet.facts(cell, layer)));
      }
    }
    try {
      Name.formatAll(List.copyOf(facts), sheet.naming());
    } catch (IllegalArgumentException e) {
      problems.add(SheetProblem.error(nameLine, "name", e));
    }
  }

  private void checkImpulses(Sheet sheet) {
    for (Layer layer : sheet.layers()) {
      if (layer.impulse() != null) {
        Header impulse =
            header(
                layer.line(),
                "impulse of layer " + layer.name(),
                Recording.of(layer.impulse()),
                "impulse");
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
  private double checkFiles(Take take, List<Take> seen) {
    checkNotReadTwice(take, seen);
    Header main = null;
    boolean first = true;
    for (Map.Entry<String, Recording> entry : take.files().entrySet()) {
      Recording recording = entry.getValue();
      Header header = header(take.line(), "take", recording, first ? "file" : entry.getKey());
      if (first) {
        main = header;
      } else if (main != null && header != null) {
        compare(take, main, recording, header);
      }
      first = false;
    }
    if (main == null) {
      return 0;
    }
    double lengthS = checkSpan(take, main.lengthS());
    checkLength(take, lengthS);
    checkMarkers(take);
    checkDecisions(take, main.lengthS());
    return lengthS;
  }

  /** A take that is cut by its markers must have some. */
  private void checkMarkers(Take take) {
    if (!take.rules().cutting().fromMarkers()) {
      return;
    }
    try {
      for (Path file : take.main().files()) {
        if (!Markers.read(file).isEmpty()) {
          return;
        }
      }
      problems.add(
          SheetProblem.error(
              take.line(),
              "cutting",
              "says that " + take.name() + " is cut by its markers, but it has none",
              "make a copy with markers by `segment --markers`, or leave `from` out"));
    } catch (IOException e) {
      problems.add(SheetProblem.error(take.line(), unreadable(e, take.name()).of("cutting")));
    }
  }

  /** Two takes may be channels or parts of one file, but hardly the same ones. */
  private void checkNotReadTwice(Take take, List<Take> seen) {
    for (Take other : seen) {
      for (Recording recording : take.files().values()) {
        boolean isTwice =
            take.span().overlaps(other.span())
                && other.files().values().stream().anyMatch(recording::overlaps);
        if (isTwice) {
          problems.add(
              SheetProblem.warning(
                  take.line(),
                  "",
                  recording.firstFile().getFileName()
                      + " is a file of the take on line "
                      + other.line()
                      + " too",
                  "correct one of them if that is not meant, or say with `between` which part of"
                      + " it each is"));
        }
      }
    }
    seen.add(take);
  }

  /** Checks which part of its files a take is; gives its length in seconds. */
  private double checkSpan(Take take, double filesS) {
    Span span = take.span();
    SheetProblem outside = outside(take, filesS);
    if (outside != null) {
      problems.add(outside);
      return 0;
    }
    if (!span.isWhole() && span.toS() > filesS + 1) {
      problems.add(
          SheetProblem.warning(
              take.line(),
              "between",
              String.format(
                  Locale.ROOT,
                  "ends at %.1f s, but %s is only %.1f s long",
                  span.toS(),
                  take.name(),
                  filesS),
              "correct the time if more is to come"));
    }
    return Math.min(span.toS(), filesS) - span.fromS();
  }

  /** What is wrong where a take begins behind the end of its files; null if it does not. */
  private static SheetProblem outside(Take take, double filesS) {
    return take.span().fromS() < filesS
        ? null
        : SheetProblem.error(
            take.line(),
            "between",
            String.format(
                Locale.ROOT,
                "begins at %.1f s, but %s is only %.1f s long",
                take.span().fromS(),
                take.name(),
                filesS),
            "correct the time");
  }

  /**
   * Refuses a part of a recording that the recording does not have.
   *
   * @param filesS length of the take's files, in seconds
   */
  public static void requireSpan(Sheet sheet, Take take, double filesS) throws SheetException {
    SheetProblem outside = outside(take, filesS);
    if (outside != null) {
      throw new SheetException(sheet.file(), outside);
    }
  }

  private void compare(Take take, Header main, Recording file, Header header) {
    Problem unlike = unlike(take.main(), main, file, header);
    if (unlike != null) {
      problems.add(SheetProblem.error(take.line(), unlike));
    }
  }

  /** Why two files cannot be microphones of one take; null if they can. */
  private static Problem unlike(Recording mainFile, Header main, Recording file, Header header) {
    String format = "holds %s with %d %s and %s with %d";
    Path name = file.firstFile().getFileName();
    Path mainName = mainFile.firstFile().getFileName();
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
    List<Recording> files = List.copyOf(take.files().values());
    Header main = Header.of(microphones.get(0));
    for (int i = 1; i < files.size(); i++) {
      Problem unlike = unlike(files.get(0), main, files.get(i), Header.of(microphones.get(i)));
      if (unlike != null) {
        throw new SheetException(sheet.file(), SheetProblem.error(take.line(), unlike));
      }
    }
  }

  private void checkLength(Take take, double lengthS) {
    Double barsS = take.barsLengthS();
    double needsS = take.cellCount() * (barsS == null ? MIN_CELL_S : barsS);
    // A pick-up need not hold all of its cells.
    if (lengthS < needsS && !take.fills().isPickUp()) {
      problems.add(
          SheetProblem.warning(
              take.line(),
              "",
              String.format(
                  Locale.ROOT,
                  "take %s is %.1f s long, too short for the %d samples it should hold (%.1f s at"
                      + " least)",
                  take.name(),
                  lengthS,
                  take.cellCount(),
                  needsS),
              "check its notes, dynamics, round_robins"
                  + (barsS == null ? "" : ", tempo_bpm and bars")));
    }
  }

  private void checkDecisions(Take take, double filesS) {
    for (Decision decision : take.decisions()) {
      if (decision.fromS() >= filesS) {
        problems.add(
            SheetProblem.warning(
                decision.line(),
                decision.key(),
                String.format(
                    Locale.ROOT,
                    "names %s, but %s is only %.1f s long",
                    decision.text(),
                    take.name(),
                    filesS),
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
  private Header header(int line, String what, Recording recording, String key) {
    String name = what + " " + recording.firstFile().getFileName();
    for (Path file : recording.files()) {
      String nameOfFile = what + " " + file.getFileName();
      if (Files.isDirectory(file)) {
        problems.add(
            SheetProblem.error(line, key, "names a folder: " + nameOfFile, "name an audio file"));
        return null;
      }
      if (!Files.exists(file)) {
        problems.add(notThere(line, nameOfFile, key));
        return null;
      }
    }
    try (AudioFile audio = opener.open(recording)) {
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
      boolean isOfAnother = e instanceof BadAudioException bad && bad.file() != null;
      String whose =
          isOfAnother ? what + " " + Path.of(((BadAudioException) e).file()).getFileName() : name;
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
