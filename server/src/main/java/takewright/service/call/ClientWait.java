package takewright.service.call;

import java.util.function.LongPredicate;
import java.util.function.LongSupplier;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.service.access.Limits;
import takewright.service.work.Places;

/**
 * The time that a call stands still because its client sends or reads nothing. It may be long while
 * there is room for others, and is short once others are refused for want of it.
 */
final class ClientWait {
  /** How often a waiting call looks whether others are refused, in milliseconds. */
  static final long LOOK_MS = 1000;

  private static final long SECOND_NS = 1_000_000_000;

  private final LongSupplier clockNs;
  private final LongPredicate refusedSince;
  private final long beganNs;

  /** Begins now. */
  ClientWait() {
    this(System::nanoTime, Places::refusedSince);
  }

  /**
   * @param clockNs as {@link System#nanoTime}
   * @param refusedSince whether a call was refused a place since a time of this clock
   */
  ClientWait(LongSupplier clockNs, LongPredicate refusedSince) {
    this.clockNs = clockNs;
    this.refusedSince = refusedSince;
    beganNs = clockNs.getAsLong();
  }

  /**
   * Ends the call once it has stood still for too long.
   *
   * @param field that should have come, or ""
   * @param what happened, which a number of seconds follows
   * @throws ProblemException TOO_SLOW
   */
  void check(String field, String what, String remedy) {
    long stoodS = (clockNs.getAsLong() - beganNs) / SECOND_NS;
    if (stoodS >= Limits.STALL_S) {
      throw new ProblemException(Reason.TOO_SLOW, field, what + " " + stoodS + " s", remedy);
    }
    if (stoodS >= Limits.CROWDED_STALL_S
        && refusedSince.test(beganNs + Limits.CROWDED_STALL_S * SECOND_NS)) {
      throw new ProblemException(
          Reason.TOO_SLOW,
          field,
          what + " " + stoodS + " s while other calls were refused for lack of room",
          remedy);
    }
  }
}
