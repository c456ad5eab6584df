package takewright.service.wire;

import com.google.protobuf.Any;
import com.google.protobuf.Duration;
import com.google.rpc.BadRequest;
import com.google.rpc.ErrorInfo;
import com.google.rpc.RetryInfo;
import io.grpc.Metadata;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.protobuf.StatusProto;
import takewright.diagnosis.Place;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;

/**
 * A problem as gRPC carries it: a status with one line for a person, and for a program always
 * {@code google.rpc.ErrorInfo}, {@code BadRequest} if a field is wrong, and {@code RetryInfo} if
 * the same call can succeed later.
 */
public final class ErrorDetails {
  /** The domain of the reasons. */
  static final String DOMAIN = "takewright";

  /** When to retry after an overload, in seconds; most calls take less. */
  private static final int RETRY_S = 1;

  /**
   * Tells gRPC's own retries when to retry, in milliseconds, or with -1 not to: gRPC proposal A6,
   * "Pushback".
   */
  private static final Metadata.Key<String> PUSHBACK =
      Metadata.Key.of("grpc-retry-pushback-ms", Metadata.ASCII_STRING_MARSHALLER);

  /**
   * Bytes of all trailers together, as they are sent. Clients refuse a list of headers above 8 KiB
   * by default (gRPC's C core), or wait for ever for one that they refuse (grpc-js); some of it is
   * left to the transport and to proxies.
   */
  static final int MAX_TRAILER_BYTES = 6 << 10;

  /** Where shortening begins, in bytes of each text. */
  private static final int LONGEST_PART = 2 << 10;

  /** What HTTP/2 adds to each header in the size of their list (RFC 9113, 6.5.2), and its name. */
  private static final int HEADER_BYTES = 32 + "grpc-status-details-bin".length();

  private ErrorDetails() {}

  /**
   * The status of a problem, with its details and trailers. Texts that quote long input lose their
   * middle, so that the whole is small enough for every client.
   */
  public static StatusRuntimeException of(Problem problem) {
    com.google.rpc.Status status = status(problem);
    for (int max = LONGEST_PART; trailerBytes(status) > MAX_TRAILER_BYTES; max -= max / 4) {
      status = status(Shortening.of(problem, max));
    }
    Metadata trailers = new Metadata();
    if (code(problem.reason()) == Status.Code.RESOURCE_EXHAUSTED) {
      trailers.put(PUSHBACK, passes(problem.reason()) ? Integer.toString(1000 * RETRY_S) : "-1");
    }
    return StatusProto.toStatusRuntimeException(status, trailers);
  }

  /** The size of a status in the trailers: its message percent-encoded, the whole as base64. */
  private static int trailerBytes(com.google.rpc.Status status) {
    int message = 0;
    for (byte b : status.getMessageBytes()) {
      message += b < ' ' || b == 0x7f || b == '%' ? 3 : 1;
    }
    int details = (status.getSerializedSize() + 2) / 3 * 4;
    // The status' number, its message, its details and what tells when to retry.
    return 4 * HEADER_BYTES + message + details;
  }

  private static com.google.rpc.Status status(Problem problem) {
    Status.Code code = code(problem.reason());
    com.google.rpc.Status.Builder status =
        com.google.rpc.Status.newBuilder()
            .setCode(code.value())
            .setMessage(problem.text())
            .addDetails(Any.pack(info(problem)));
    if (code == Status.Code.INVALID_ARGUMENT && !problem.field().isEmpty()) {
      status.addDetails(
          Any.pack(
              BadRequest.newBuilder()
                  .addFieldViolations(
                      BadRequest.FieldViolation.newBuilder()
                          .setField(problem.field())
                          .setDescription(problem.text())
                          .setReason(problem.reason().name()))
                  .build()));
    }
    if (passes(problem.reason())) {
      Duration delay = Duration.newBuilder().setSeconds(RETRY_S).build();
      status.addDetails(Any.pack(RetryInfo.newBuilder().setRetryDelay(delay).build()));
    }
    return status.build();
  }

  /** Whether trying the same again later helps, though nobody does anything about it. */
  private static boolean passes(Reason reason) {
    return reason == Reason.OVERLOADED || reason == Reason.MEMORY_FULL;
  }

  private static ErrorInfo info(Problem problem) {
    ErrorInfo.Builder info =
        ErrorInfo.newBuilder()
            .setDomain(DOMAIN)
            .setReason(problem.reason().name())
            .putMetadata("what", problem.what())
            .putMetadata("remedy", problem.remedy());
    if (!problem.field().isEmpty()) {
      info.putMetadata("field", problem.field());
    }
    Place place = problem.place();
    if (place != null) {
      if (!place.file().isEmpty()) {
        info.putMetadata("file", place.file());
      }
      if (place.line() > 0) {
        info.putMetadata("line", Integer.toString(place.line()));
      }
      if (!place.key().isEmpty()) {
        info.putMetadata("key", place.key());
      }
    }
    return info.build();
  }

  private static Status.Code code(Reason reason) {
    return switch (reason) {
      case INPUT_INVALID, UNKNOWN_KEY, MISSING_KEY, AUDIO_UNREADABLE ->
          Status.Code.INVALID_ARGUMENT;
      case NOT_THERE -> Status.Code.NOT_FOUND;
      case ALREADY_THERE -> Status.Code.ALREADY_EXISTS;
      case NOT_GRANTED -> Status.Code.PERMISSION_DENIED;
      case TOKEN_WRONG -> Status.Code.UNAUTHENTICATED;
      case IN_USE -> Status.Code.ABORTED;
      case NOT_NOW, PLAN_DOUBTED -> Status.Code.FAILED_PRECONDITION;
      case CANCELLED -> Status.Code.CANCELLED;
      case TOO_SLOW -> Status.Code.DEADLINE_EXCEEDED;
      case OVERLOADED, MEMORY_FULL, TOO_MUCH, MESSAGE_TOO_LARGE, DISK_FULL ->
          Status.Code.RESOURCE_EXHAUSTED;
      case STOPPING -> Status.Code.UNAVAILABLE;
      case INTERNAL -> Status.Code.INTERNAL;
    };
  }
}
