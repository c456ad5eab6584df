package takewright.diagnosis;

/**
 * What kind of problem it is, for programs: the {@code reason} of {@code google.rpc.ErrorInfo}. The
 * names are part of the contract.
 */
public enum Reason {
  /** A setting, a file or a table holds something that cannot be worked with. */
  INPUT_INVALID,
  /** A key of the sheet is not known. */
  UNKNOWN_KEY,
  /** A key that the sheet must have is missing. */
  MISSING_KEY,
  /** What is heard fits another plan much better than the sheet's. */
  PLAN_DOUBTED,
  /** A file does not hold audio that can be read. */
  AUDIO_UNREADABLE,
  /** A file, folder, build or session does not exist. */
  NOT_THERE,
  /** A file exists and would be written over. */
  ALREADY_THERE,
  /** The service or its user may not touch the file. */
  NOT_GRANTED,
  /** The call has no token, or the wrong one. */
  TOKEN_WRONG,
  /** Another call, build or service is using it. */
  IN_USE,
  /** It cannot be done in the state that things are in. */
  NOT_NOW,
  /** No pitch can be heard in it, and one is needed. */
  NO_PITCH,
  /** Its service ended while it ran; it can go on. */
  INTERRUPTED,
  /** The caller stopped it. */
  CANCELLED,
  /** The other side took too long to send or to read. */
  TOO_SLOW,
  /** The service has too much to do; the same call will succeed later. */
  OVERLOADED,
  /** Other calls hold the memory that it needs; the same call will succeed later. */
  MEMORY_FULL,
  /** It is more than the service can ever hold. */
  TOO_MUCH,
  /** One message is larger than a message may be. */
  MESSAGE_TOO_LARGE,
  /** The disk is full. */
  DISK_FULL,
  /** The service is stopping. */
  STOPPING,
  /** A fault of the program. */
  INTERNAL
}
