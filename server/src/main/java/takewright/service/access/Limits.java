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

  /**
   * The same in seconds, while other calls are refused for lack of room: longer than a client's
   * garbage collection or a change of networks takes.
   */
  public static final int CROWDED_STALL_S = 10;

  /** Half of the heap may hold audio of calls; the other half is for processing it. */
  private static final long HELD_BYTES = Runtime.getRuntime().maxMemory() / 2;

  private static final AtomicLong HELD = new AtomicLong();

  /**
   * Streamed audio that is kept on the disk at a time, in bytes: more than two hours of two
   * channels at 96 kHz, which are 5.5 GB as it is kept.
   */
  public static final long SPOOL_BYTES = 8L << 30;

  private static final AtomicLong SPOOLED = new AtomicLong();

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

  /**
   * Reserves memory; refuses if the running calls hold too much already, or if it would not fit
   * even alone.
   */
  public static void hold(long bytes) {
    if (bytes > HELD_BYTES) {
      throw new ProblemException(
          Reason.TOO_MUCH,
          "",
          "this audio needs more memory than the service has",
          "send a shorter piece, or start Java with a larger heap (-Xmx)");
    }
    if (HELD.addAndGet(bytes) > HELD_BYTES) {
      HELD.addAndGet(-bytes);
      throw new ProblemException(
          Reason.MEMORY_FULL,
          "",
          "other calls hold the memory that this audio needs",
          "try again when some of them have finished, or start Java with a larger heap (-Xmx)");
    }
  }

  public static void release(long bytes) {
    HELD.addAndGet(-bytes);
  }

  /** Reserves room on the disk for streamed audio; refuses if the running calls have it all. */
  public static void spool(long bytes) {
    if (SPOOLED.addAndGet(bytes) > SPOOL_BYTES) {
      SPOOLED.addAndGet(-bytes);
      throw new ProblemException(
          Reason.TOO_MUCH,
          "audio",
          "is more than the service keeps on its disk for streams, " + (SPOOL_BYTES >> 30) + " GiB",
          "name a file instead, or stream fewer long takes at once");
    }
  }

  public static void unspool(long bytes) {
    SPOOLED.addAndGet(-bytes);
  }
}
