package takewright.diagnosis;

import java.io.IOException;
import java.nio.file.AccessDeniedException;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.FileSystemException;
import java.nio.file.NoSuchFileException;
import java.nio.file.NotDirectoryException;
import java.util.Locale;
import takewright.audio.BadAudioException;
import takewright.audio.original.OriginalFileException;

/** Problems of files: with what is in them, with their names, and with the file system. */
public final class FileProblems {
  private FileProblems() {}

  /** The reading of a file. */
  @FunctionalInterface
  public interface FileReading<T> {
    T read() throws IOException;
  }

  /** What a file holds. A problem with it names the setting that led to it. */
  public static <T> T read(String field, FileReading<T> reading) throws IOException {
    try {
      return reading.read();
    } catch (IOException e) {
      Problem problem = e instanceof Diagnosed known ? known.problem() : of(e);
      if (problem == null || !problem.field().isEmpty()) {
        throw e;
      }
      throw new FileProblemException(problem.of(field), e);
    }
  }

  /** The problem of a failure, or null if it is nothing that a person can mend. */
  public static Problem of(IOException failure) {
    String file = failure instanceof FileSystemException known ? known.getFile() : null;
    if (failure instanceof BadAudioException bad) {
      return problem(Reason.AUDIO_UNREADABLE, bad.file(), bad.what(), bad.remedy());
    }
    if (failure instanceof OriginalFileException original) {
      return problem(Reason.ALREADY_THERE, file, original.what(), OriginalFileException.REMEDY);
    }
    if (isDiskFull(failure)) {
      return problem(
          Reason.DISK_FULL, file, "the disk is full", "free some space and start it again");
    }
    if (failure instanceof NoSuchFileException) {
      return problem(Reason.NOT_THERE, file, "does not exist", "correct the path");
    }
    if (failure instanceof FileAlreadyExistsException) {
      return problem(Reason.ALREADY_THERE, file, "exists already", "choose another name");
    }
    if (failure instanceof AccessDeniedException) {
      return problem(
          Reason.NOT_GRANTED,
          file,
          "may not be read or written by this user",
          "change its permissions, or choose another path");
    }
    if (failure instanceof NotDirectoryException) {
      return problem(Reason.INPUT_INVALID, file, "is not a folder", "give the path of a folder");
    }
    if (isTooLong(failure)) {
      return problem(Reason.INPUT_INVALID, file, "is too long a name", "choose a shorter one");
    }
    if (says(failure, "read-only file system")) {
      return problem(
          Reason.NOT_NOW,
          file,
          "lies on a disk that can only be read",
          "choose a folder on another disk");
    }
    if (says(failure, "input/output error")) {
      return problem(
          Reason.NOT_NOW,
          file,
          "cannot be read or written, as its disk fails",
          "see whether the disk is connected, and start it again");
    }
    if (failure instanceof FileSystemException known) {
      String why = known.getReason() == null ? "cannot be used" : known.getReason();
      return problem(Reason.NOT_NOW, file, why, "check the file and its folder");
    }
    return null;
  }

  private static Problem problem(Reason reason, String file, String what, String remedy) {
    Place place = file == null || file.isEmpty() ? null : Place.of(file);
    boolean isWhole = reason == Reason.DISK_FULL || reason == Reason.AUDIO_UNREADABLE;
    String subject = place == null && !isWhole ? "a file " : "";
    return new Problem(reason, "", place, subject + what, remedy);
  }

  /** As of a full disk, the words are those of POSIX. */
  private static boolean isTooLong(IOException failure) {
    return failure instanceof FileSystemException && says(failure, "name too long");
  }

  /** The JDK has no exception of its own for it; the words are those of POSIX and Windows. */
  private static boolean isDiskFull(IOException failure) {
    return says(failure, "no space left")
        || says(failure, "disk quota exceeded")
        || says(failure, "not enough space on the disk");
  }

  private static boolean says(IOException failure, String words) {
    String why =
        failure instanceof FileSystemException known ? known.getReason() : failure.getMessage();
    return String.valueOf(why).toLowerCase(Locale.ROOT).contains(words);
  }
}
