package takewright.service;

import io.grpc.Status;
import io.grpc.StatusException;
import io.grpc.StatusRuntimeException;
import java.io.IOException;
import java.nio.file.AccessDeniedException;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.FileSystemException;
import java.nio.file.NoSuchFileException;
import java.security.SecureRandom;
import java.util.Locale;
import java.util.concurrent.CancellationException;
import java.util.concurrent.RejectedExecutionException;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import takewright.audio.BadAudioException;
import takewright.audit.RenameException;
import takewright.library.folder.FolderBusyException;
import takewright.library.folder.MapException;
import takewright.sheet.SheetException;

/** Turns whatever went wrong into the status and the one line that a client gets to see. */
final class Failures {
  private static final Logger LOG = LoggerFactory.getLogger(Failures.class);
  private static final SecureRandom RANDOM = new SecureRandom();

  private Failures() {}

  static StatusRuntimeException of(Throwable failure) {
    if (failure instanceof StatusRuntimeException known) {
      return known;
    }
    if (failure instanceof StatusException known) {
      return known.getStatus().asRuntimeException();
    }
    if (failure instanceof RejectedExecutionException) {
      return Refusal.exhausted("too many calls at once: try again when some of them have finished");
    }
    if (failure instanceof OutOfMemoryError) {
      LOG.error("out of memory", failure);
      return Refusal.exhausted(
          "not enough memory: send a shorter piece, fewer at once, or start Java with a larger"
              + " heap (-Xmx)");
    }
    return status(failure).asRuntimeException();
  }

  private static Status status(Throwable failure) {
    if (failure instanceof BadAudioException
        || failure instanceof SheetException
        || failure instanceof RenameException
        || failure instanceof MapException) {
      return Status.INVALID_ARGUMENT.withDescription(oneLine(failure.getMessage()));
    }
    if (failure instanceof FolderBusyException) {
      return Status.ABORTED.withDescription(oneLine(failure.getMessage()));
    }
    if (failure instanceof CancellationException) {
      return Status.CANCELLED.withDescription("the call was cancelled; what was finished is kept");
    }
    if (failure instanceof IOException io) {
      Status known = ofFileSystem(io);
      if (known != null) {
        return known;
      }
    }
    String id = Long.toHexString(RANDOM.nextLong() & 0xffff_ffffL);
    LOG.error("unexpected failure {}", id, failure);
    return Status.INTERNAL.withDescription(
        "something went wrong in the service (id " + id + "; its log says more)");
  }

  /** What the file system says, or null where it is not a thing that a client can mend. */
  private static Status ofFileSystem(IOException failure) {
    String message = String.valueOf(failure.getMessage());
    // The JDK has no exception of its own for these; the words are those of POSIX systems and
    // Windows.
    String lower = message.toLowerCase(Locale.ROOT);
    if (lower.contains("no space left")
        || lower.contains("disk quota exceeded")
        || lower.contains("not enough space on the disk")) {
      String where = failure instanceof FileSystemException f ? " at " + f.getFile() : "";
      return Status.RESOURCE_EXHAUSTED.withDescription(
          "the disk is full" + oneLine(where) + ": make room and call again");
    }
    if (!(failure instanceof FileSystemException known)) {
      return null;
    }
    String file = known.getFile() == null ? "a file" : oneLine(known.getFile());
    if (known instanceof NoSuchFileException) {
      return Status.NOT_FOUND.withDescription(
          known.getReason() == null
              ? file + " does not exist"
              : file + ": " + oneLine(known.getReason()));
    }
    if (known instanceof FileAlreadyExistsException) {
      return Status.ALREADY_EXISTS.withDescription(
          known.getReason() == null
              ? file + " exists already: choose another name, or set `replace`"
              : file + ": " + oneLine(known.getReason()));
    }
    if (known instanceof AccessDeniedException) {
      return Status.PERMISSION_DENIED.withDescription(
          file + " may not be read or written by the user that the service runs as");
    }
    String reason = known.getReason() == null ? "cannot be used" : oneLine(known.getReason());
    return Status.FAILED_PRECONDITION.withDescription(file + ": " + reason);
  }

  /** Without line breaks. */
  static String oneLine(String text) {
    return String.valueOf(text).replaceAll("[\\r\\n]+", " ");
  }
}
