package takewright.service.access;

import java.util.concurrent.atomic.AtomicLong;
import takewright.audio.AudioFile;
import takewright.diagnosis.Problem;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;

/** Limits of a call. */
public final class Limits {
  /** Bytes of audio in one message, as the contract says: 1 MiB. */
  public static final int AUDIO_BYTES = 1 << 20;

  /**
   * Bytes of a message before the transport refuses it: above the limit, so that the error can name
   * the field.
   */
  public static final int MESSAGE_BYTES = 4 << 20;

  /** Longest audio kept in memory as a whole, in seconds: ten minutes. */
  public static final int HELD_SECONDS = 600;

  /**
   * Sessions followed at a time: more than one studio needs. Each holds some tens of megabytes at
   * the highest rates.
   */
  public static final int SESSIONS = 16;

  /** Longest time that a call may stand still, in seconds, so that nothing hangs forever. */
  public static final int STALL_S = 120;

  /** Half of the heap may hold audio of calls; the other half is for processing it. */
  private static final long HELD_BYTES = Runtime.getRuntime().maxMemory() / 2;

  private static final AtomicLong HELD = new AtomicLong();

  private Limits() {}

  /** Refuses sample rates and numbers of channels outside the contract. */
  public static void checkFormat(String field, int sampleRate, int channels) {
    if (sampleRate < AudioFile.LOWEST_RATE || sampleRate > AudioFile.HIGHEST_RATE) {
      throw new ProblemException(
          Problem.outOfRange(field + "sample_rate_hz", sampleRate, 8000, 192_000, "Hz"));
    }
    if (channels < 1 || channels > AudioFile.MAX_CHANNELS) {
      throw new ProblemException(
          Problem.outOfRange(field + "channels", channels, 1, AudioFile.MAX_CHANNELS, ""));
    }
  }

  /** Reserves memory; refuses if the running calls hold too much already. */
  public static void hold(long bytes) {
    if (HELD.addAndGet(bytes) > HELD_BYTES) {
      HELD.addAndGet(-bytes);
      throw new ProblemException(
          Reason.OVERLOADED,
          "",
          "there is not enough memory to hold this audio",
          "send a shorter piece, fewer at once, or start Java with a larger heap (-Xmx)");
    }
  }

  public static void release(long bytes) {
    HELD.addAndGet(-bytes);
  }
}
