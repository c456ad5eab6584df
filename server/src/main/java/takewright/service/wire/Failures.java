package takewright.service.wire;

import java.io.IOException;
import java.security.SecureRandom;
import java.util.concurrent.CancellationException;
import java.util.concurrent.RejectedExecutionException;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import takewright.diagnosis.Diagnosed;
import takewright.diagnosis.FileProblems;
import takewright.diagnosis.Problem;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;

/** Finds the problem behind an exception of a call. */
public final class Failures {
  private static final Logger LOG = LoggerFactory.getLogger(Failures.class);
  private static final SecureRandom RANDOM = new SecureRandom();

  private Failures() {}

  public static Problem of(Throwable failure) {
    if (failure instanceof Diagnosed known) {
      return known.problem();
    }
    if (failure instanceof CancellationException) {
      return ProblemException.cancelled().problem();
    }
    if (failure instanceof RejectedExecutionException) {
      return new Problem(
          Reason.OVERLOADED,
          "",
          "too many calls at once",
          "try again when some of them have finished");
    }
    if (failure instanceof OutOfMemoryError) {
      LOG.error("out of memory", failure);
      return new Problem(
          Reason.TOO_MUCH,
          "",
          "there is not enough memory for this call",
          "send a shorter piece, or start Java with a larger heap (-Xmx)");
    }
    Problem ofFile = failure instanceof IOException io ? FileProblems.of(io) : null;
    if (ofFile != null) {
      return ofFile;
    }
    String id = Long.toHexString(RANDOM.nextLong() & 0xffff_ffffL);
    LOG.error("unexpected failure {}", id, failure);
    return new Problem(
        Reason.INTERNAL,
        "",
        "something went wrong in the service (id " + id + ")",
        "look for the id in the service's log");
  }

  /** Settings that an operation refuses, and that are fields of the request itself. */
  public static ProblemException setting(IllegalArgumentException refused) {
    return new ProblemException(
        refused instanceof Diagnosed known ? known.problem() : unnamed("", refused), refused);
  }

  /**
   * Settings that an operation refuses.
   *
   * @param path where they stand in the request
   */
  public static ProblemException setting(IllegalArgumentException refused, String path) {
    Problem problem =
        refused instanceof Diagnosed known ? known.problem().within(path) : unnamed(path, refused);
    return new ProblemException(problem, refused);
  }

  private static Problem unnamed(String path, IllegalArgumentException refused) {
    return Problem.invalid(path, "cannot be worked with: " + refused.getMessage(), "correct it");
  }
}
