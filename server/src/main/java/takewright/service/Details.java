package takewright.service;

import com.google.protobuf.Any;
import com.google.protobuf.Duration;
import com.google.rpc.BadRequest;
import com.google.rpc.ErrorInfo;
import com.google.rpc.RetryInfo;
import io.grpc.Metadata;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.protobuf.StatusProto;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * What a program can read of an error, beside the line for a person: {@code google.rpc.ErrorInfo}
 * always, {@code BadRequest} where a field is wrong, {@code RetryInfo} where trying again helps.
 */
final class Details {
  /** Says whose reasons these are. */
  static final String DOMAIN = "takewright";

  /** When to try again after an overload, in seconds: most calls take less. */
  private static final int RETRY_S = 1;

  /**
   * By this gRPC's own retries learn when to try again, in milliseconds, or by -1 not to: gRPC
   * proposal A6, "Pushback".
   */
  private static final Metadata.Key<String> PUSHBACK =
      Metadata.Key.of("grpc-retry-pushback-ms", Metadata.ASCII_STRING_MARSHALLER);

  /** A line that is about a field begins with its name, or a path to it. */
  private static final Pattern FIELD = Pattern.compile("^`([a-z0-9_.\\[\\]]+)`");

  /** Lines end with what to do about it, in the imperative, where the range does not say it. */
  private static final Pattern REMEDY =
      Pattern.compile(
          "[:;] ((?:(?:and|or) )?(?:add|ask|begin|build|call|cancel|choose|copy|correct|cut|end|export"
              + "|give|keep|leave|make|name|put|read|record|repair|send|set|shorten|start|take|try"
              + "|use|write) [^:;]*)$");

  /** Of a value that is out of range: what it must be. */
  private static final Pattern RANGE =
      Pattern.compile("^`[^`]+`(?:: \\w+)? (must be .*?)(?:, not .*|, and is .*)?$");

  private Details() {}

  /** An overload, which passes. */
  static StatusRuntimeException overload(String line) {
    return StatusProto.toStatusRuntimeException(
        com.google.rpc.Status.newBuilder()
            .setCode(Status.Code.RESOURCE_EXHAUSTED.value())
            .setMessage(line)
            .addDetails(
                Any.pack(
                    RetryInfo.newBuilder()
                        .setRetryDelay(Duration.newBuilder().setSeconds(RETRY_S))
                        .build()))
            .build());
  }

  /** The same failure with all that can be said of it. */
  static StatusRuntimeException of(StatusRuntimeException failure) {
    Status status = failure.getStatus();
    String line = status.getDescription() == null ? "" : status.getDescription();
    com.google.rpc.Status.Builder all =
        com.google.rpc.Status.newBuilder().setCode(status.getCode().value()).setMessage(line);
    com.google.rpc.Status known = StatusProto.fromThrowable(failure);
    boolean isOverload = false;
    if (known != null) {
      for (Any detail : known.getDetailsList()) {
        if (detail.is(ErrorInfo.class)) {
          return failure;
        }
        isOverload |= detail.is(RetryInfo.class);
        all.addDetails(detail);
      }
    }
    ErrorInfo.Builder info =
        ErrorInfo.newBuilder().setDomain(DOMAIN).setReason(reason(status, line, isOverload));
    Matcher remedy = REMEDY.matcher(line);
    Matcher range = RANGE.matcher(line);
    if (remedy.find()) {
      info.putMetadata("remedy", remedy.group(1));
    } else if (range.find()) {
      info.putMetadata("remedy", range.group(1));
    }
    Matcher field = FIELD.matcher(line);
    if (field.find()) {
      info.putMetadata("field", field.group(1));
      if (status.getCode() == Status.Code.INVALID_ARGUMENT) {
        all.addDetails(
            Any.pack(
                BadRequest.newBuilder()
                    .addFieldViolations(
                        BadRequest.FieldViolation.newBuilder()
                            .setField(field.group(1))
                            .setDescription(line))
                    .build()));
      }
    }
    all.addDetails(Any.pack(info.build()));
    Metadata trailers = new Metadata();
    if (status.getCode() == Status.Code.RESOURCE_EXHAUSTED) {
      trailers.put(PUSHBACK, isOverload ? Integer.toString(1000 * RETRY_S) : "-1");
    }
    return StatusProto.toStatusRuntimeException(all.build(), trailers);
  }

  /** Stays the same from version to version, unlike the line. */
  private static String reason(Status status, String line, boolean isOverload) {
    return switch (status.getCode()) {
      case INVALID_ARGUMENT -> "INPUT_INVALID";
      case NOT_FOUND -> "NOT_THERE";
      case ALREADY_EXISTS -> "ALREADY_THERE";
      case PERMISSION_DENIED -> "NOT_GRANTED";
      case UNAUTHENTICATED -> "TOKEN_WRONG";
      case ABORTED -> "IN_USE";
      case FAILED_PRECONDITION -> "NOT_NOW";
      case DEADLINE_EXCEEDED -> "TOO_SLOW";
      case UNIMPLEMENTED -> "NOT_IN_THIS_VERSION";
      case RESOURCE_EXHAUSTED ->
          isOverload ? "OVERLOADED" : line.startsWith("the disk") ? "DISK_FULL" : "TOO_MUCH";
      default -> status.getCode().name();
    };
  }
}
