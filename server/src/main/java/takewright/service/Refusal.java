package takewright.service;

import io.grpc.Status;
import io.grpc.StatusRuntimeException;

/** Answers to calls that cannot be done, each one line that names the field and the remedy. */
final class Refusal {
  private Refusal() {}

  static StatusRuntimeException invalid(String line) {
    return Status.INVALID_ARGUMENT.withDescription(line).asRuntimeException();
  }

  static StatusRuntimeException notFound(String line) {
    return Status.NOT_FOUND.withDescription(line).asRuntimeException();
  }

  static StatusRuntimeException denied(String line) {
    return Status.PERMISSION_DENIED.withDescription(line).asRuntimeException();
  }

  static StatusRuntimeException exists(String line) {
    return Status.ALREADY_EXISTS.withDescription(line).asRuntimeException();
  }

  /** There is no room now; there will be. */
  static StatusRuntimeException exhausted(String line) {
    return Details.overload(line);
  }

  /** More than there ever is room for. */
  static StatusRuntimeException tooMuch(String line) {
    return Status.RESOURCE_EXHAUSTED.withDescription(line).asRuntimeException();
  }

  static StatusRuntimeException precondition(String line) {
    return Status.FAILED_PRECONDITION.withDescription(line).asRuntimeException();
  }

  static StatusRuntimeException aborted(String line) {
    return Status.ABORTED.withDescription(line).asRuntimeException();
  }

  static StatusRuntimeException cancelled() {
    return Status.CANCELLED.withDescription("the call was cancelled").asRuntimeException();
  }

  static StatusRuntimeException tooSlow(String line) {
    return Status.DEADLINE_EXCEEDED.withDescription(line).asRuntimeException();
  }
}
