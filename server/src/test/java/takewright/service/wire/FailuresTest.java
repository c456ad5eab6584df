package takewright.service.wire;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.Status;
import java.io.IOException;
import java.nio.file.AccessDeniedException;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.FileSystemException;
import java.nio.file.NoSuchFileException;
import java.util.concurrent.CancellationException;
import java.util.concurrent.RejectedExecutionException;
import org.junit.jupiter.api.Test;
import takewright.audio.BadAudioException;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;

class FailuresTest {
  private static void becomes(Status.Code code, Throwable failure, String word) {
    Status status = ErrorDetails.of(Failures.of(failure)).getStatus();
    String line = status.getDescription();
    assertEquals(code, status.getCode(), line);
    assertTrue(line.contains(word), line);
    assertFalse(line.contains("\n"), line);
    assertFalse(line.contains("Exception"), line);
  }

  @Test
  void everyFailureHasItsStatusAndOneLine() {
    becomes(
        Status.Code.INVALID_ARGUMENT,
        new BadAudioException("a.wav", "is\nempty", "record it again"),
        "is empty");
    becomes(Status.Code.NOT_FOUND, new NoSuchFileException("/x/a.wav"), "/x/a.wav");
    becomes(
        Status.Code.ALREADY_EXISTS, new FileAlreadyExistsException("/x/a.wav"), "exists already");
    becomes(Status.Code.PERMISSION_DENIED, new AccessDeniedException("/x/a.wav"), "/x/a.wav");
    becomes(
        Status.Code.FAILED_PRECONDITION,
        new FileSystemException("/x/a.wav", null, "Read-only file system"),
        "/x/a.wav: lies on a disk that can only be read; choose a folder on another disk");
    // The words of a disk that was pulled out, with and without the name of the file.
    becomes(
        Status.Code.FAILED_PRECONDITION,
        new FileSystemException("/x/a.wav", null, "Input/output error"),
        "/x/a.wav: cannot be read or written, as its disk fails; see whether the disk is connected");
    becomes(
        Status.Code.FAILED_PRECONDITION,
        new IOException("Input/output error"),
        "a file cannot be read or written, as its disk fails");
    becomes(
        Status.Code.FAILED_PRECONDITION,
        new FileSystemException("/x/input/output error.wav", null, "Device or resource busy"),
        "Device or resource busy");
    becomes(
        Status.Code.RESOURCE_EXHAUSTED,
        new IOException("No space left on device"),
        "free some space");
    becomes(
        Status.Code.RESOURCE_EXHAUSTED,
        new FileSystemException("/x", null, "Disk quota exceeded"),
        "/x");
    becomes(Status.Code.RESOURCE_EXHAUSTED, new RejectedExecutionException("?"), "try again");
    becomes(Status.Code.CANCELLED, new CancellationException(), "cancelled");
    becomes(
        Status.Code.NOT_FOUND,
        new ProblemException(Reason.NOT_THERE, "f", "does not exist", "make it"),
        "`f`");
  }

  @Test
  void whatIsUnexpectedSaysNothingOfTheInside() {
    Status status = ErrorDetails.of(Failures.of(new IOException("inner detail"))).getStatus();
    assertEquals(Status.Code.INTERNAL, status.getCode());
    assertFalse(status.getDescription().contains("inner"), status.getDescription());
    assertTrue(status.getDescription().contains("id "), status.getDescription());
  }
}
