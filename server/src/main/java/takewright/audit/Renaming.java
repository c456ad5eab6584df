package takewright.audit;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.InvalidPathException;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Collections;
import java.util.Deque;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.stream.Stream;
import takewright.audio.original.CheckedFile;
import takewright.audit.RenamePlan.Rename;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.FileProblems;
import takewright.diagnosis.Place;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;

/**
 * Carries out a {@link RenamePlan}, or finishes one that was interrupted. Nothing is written over.
 */
public final class Renaming {
  private final Path folder;
  private final List<Rename> renames;
  private final Renamer renamer;

  /**
   * @param folder what the names are relative to
   */
  public Renaming(Path folder, List<Rename> renames) {
    this(folder, renames, CheckedFile::move);
  }

  Renaming(Path folder, List<Rename> renames, Renamer renamer) {
    this.folder = folder;
    this.renames = List.copyOf(renames);
    this.renamer = renamer;
  }

  /** Gives a file another name in its folder. */
  @FunctionalInterface
  interface Renamer {
    void rename(Path from, Path to) throws IOException;
  }

  /** A step that was carried out. */
  private record RenameStep(String from, String to) {}

  /** Whether the plan was interrupted. */
  public boolean isInterrupted() {
    return renames.stream().anyMatch(this::isAway);
  }

  /**
   * Renames the files. The plan is refused as a whole where a new name is taken by a file that does
   * not move; where renaming fails half way, what was done is undone.
   *
   * @param undo the plan that puts the old names back; written before anything is renamed
   * @return files renamed
   */
  public int carryOut(Path undo) throws IOException {
    check();
    boolean isInterrupted = isInterrupted();
    if (!isInterrupted) {
      refuseTaken();
    }
    RenamePlan.write(undo, back());
    Deque<RenameStep> done = new ArrayDeque<>();
    try {
      // Some names may be new already if the earlier run got that far; then no name is old any
      // more.
      boolean allAway = isInterrupted && !isAway(renames.get(0));
      for (Rename rename : renames) {
        if (!allAway && !isAway(rename)) {
          step(new RenameStep(rename.from(), rename.via()), done);
        }
      }
      for (Rename rename : renames) {
        if (isAway(rename)) {
          step(new RenameStep(rename.via(), rename.to()), done);
        }
      }
    } catch (IOException e) {
      try {
        for (RenameStep step : done) {
          renamer.rename(folder.resolve(step.to()), folder.resolve(step.from()));
        }
      } catch (IOException again) {
        throw halfRenamed(e, again, undo);
      }
      throw e;
    }
    return renames.size();
  }

  /**
   * The plan that puts the old names back, in the opposite order: where this one is interrupted,
   * files that still have their old names stand at its end, and those that have their new ones at
   * its beginning. The other way round, they are files that are back already and files that have
   * yet to leave.
   */
  private List<Rename> back() {
    List<Rename> back = new ArrayList<>();
    for (Rename rename : renames) {
      back.add(new Rename(rename.to(), rename.from(), rename.via()));
    }
    Collections.reverse(back);
    return back;
  }

  private boolean isAway(Rename rename) {
    return exists(folder.resolve(rename.via()));
  }

  private void step(RenameStep step, Deque<RenameStep> done) throws IOException {
    renamer.rename(folder.resolve(step.from()), folder.resolve(step.to()));
    done.push(step);
  }

  private FileProblemException halfRenamed(IOException failure, IOException again, Path undo) {
    Problem problem = FileProblems.of(failure);
    FileProblemException half =
        new FileProblemException(
            new Problem(
                problem == null ? Reason.NOT_NOW : problem.reason(),
                "",
                Place.of(folder.toString()),
                "is half renamed ("
                    + said(failure)
                    + "), and the old names could not be put back ("
                    + said(again)
                    + ")",
                "mend that, then give " + undo + " as `plan_file`, which puts them back"),
            failure);
    half.addSuppressed(again);
    return half;
  }

  /** What went wrong, without what to do about it. */
  private static String said(IOException failure) {
    Problem problem = FileProblems.of(failure);
    return problem == null
        ? failure.toString()
        : (problem.place() == null ? "" : problem.place().text() + " ") + problem.what();
  }

  /** Names stay in their folder, and no two files get one name. */
  private void check() throws IOException {
    Set<String> froms = new HashSet<>();
    Set<String> tos = new HashSet<>();
    Set<String> vias = new HashSet<>();
    for (Rename rename : renames) {
      Path from = plain(rename.from());
      if (!from.getParent().equals(plain(rename.to()).getParent())
          || !from.getParent().equals(plain(rename.via()).getParent())) {
        throw FileProblemException.invalid(
            rename.from(), "would leave its folder", "keep each file in its own folder");
      }
      if (!froms.add(rename.from())
          || !tos.add(RenamePlan.key(rename.to()))
          || !vias.add(RenamePlan.key(rename.via()))) {
        throw FileProblemException.invalid(
            rename.from(), "or its new name stands twice in the plan", "leave one out");
      }
    }
  }

  private Path plain(String name) throws IOException {
    Path root = folder.toRealPath();
    Path path;
    try {
      path = root.resolve(name);
    } catch (InvalidPathException e) {
      throw FileProblemException.invalid(name, "cannot be a file name", "correct the plan");
    }
    // With a symbolic link on the way, the file would be elsewhere.
    if (name.isEmpty()
        || !path.normalize().equals(path)
        || !path.startsWith(root)
        || path.equals(root)
        || (exists(path.getParent()) && !path.getParent().toRealPath().equals(path.getParent()))) {
      throw FileProblemException.invalid(name, "does not lie in the folder", "correct the plan");
    }
    return path;
  }

  private void refuseTaken() throws IOException {
    Set<String> leaving = new HashSet<>();
    for (Rename rename : renames) {
      if (!exists(folder.resolve(rename.from()))) {
        throw new FileProblemException(
            Reason.NOT_THERE,
            folder.resolve(rename.from()).toString(),
            "is named in the plan but does not exist",
            "audit the folder again");
      }
      leaving.add(rename.from());
    }
    Set<String> staying = new HashSet<>();
    Set<Path> parents = new HashSet<>();
    for (Rename rename : renames) {
      parents.add(folder.resolve(rename.from()).getParent());
    }
    for (Path parent : parents) {
      try (Stream<Path> files = Files.list(parent)) {
        files
            .map(path -> folder.relativize(path).toString().replace('\\', '/'))
            .filter(name -> !leaving.contains(name))
            .forEach(name -> staying.add(RenamePlan.key(name)));
      }
    }
    for (Rename rename : renames) {
      if (staying.contains(RenamePlan.key(rename.to()))
          || staying.contains(RenamePlan.key(rename.via()))) {
        throw new FileProblemException(
            Reason.ALREADY_THERE,
            folder.resolve(rename.to()).toString(),
            "exists already and would be written over; nothing was renamed",
            "move it away, or audit the folder again");
      }
    }
  }

  private static boolean exists(Path path) {
    return Files.exists(path, LinkOption.NOFOLLOW_LINKS);
  }
}
