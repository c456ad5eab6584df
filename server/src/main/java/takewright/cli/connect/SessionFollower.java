package takewright.cli.connect;

import com.google.protobuf.ByteString;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.stub.ClientCallStreamObserver;
import io.grpc.stub.ClientResponseObserver;
import java.io.IOException;
import java.util.Locale;
import java.util.function.Consumer;
import takewright.v1.FollowSessionConfig;
import takewright.v1.FollowSessionRequest;
import takewright.v1.FollowSessionResponse;
import takewright.v1.SessionServiceGrpc;

/**
 * Follows a session to its end, through dropped connections and restarted services: after a drop it
 * calls again, with growing pauses, and continues where the service stands. Audio that the service
 * missed for good is always reported.
 */
public final class SessionFollower {
  /** Pause before the first new call after a drop; doubled each time. */
  private static final long FIRST_PAUSE_MS = 250;

  /** The longest pause, so that a restarted service is found soon. */
  private static final long MAX_PAUSE_MS = 4_000;

  /** How long a service keeps an interrupted session: half an hour. */
  private static final long GIVE_UP_MS = 30 * 60_000;

  /** Answers "unknown session" from each service before the session counts as lost. */
  private static final int UNKNOWN_EACH = 2;

  private final Connection.OpenConnection connection;
  private final FollowSessionConfig config;
  private final int frameBytes;
  private final Backlog audio;
  private final Consumer<FollowSessionResponse> heard;
  private final Consumer<String> said;

  private volatile String id = "";
  private volatile boolean hasBegun;
  private long position;
  private long lostFrames;

  /**
   * @param config of a new session
   * @param heard receives the responses; after a drop all notes are repeated
   * @param said receives a line about each drop and its outcome
   */
  public SessionFollower(
      Connection.OpenConnection connection,
      FollowSessionConfig config,
      int frameBytes,
      Backlog audio,
      Consumer<FollowSessionResponse> heard,
      Consumer<String> said) {
    this.connection = connection;
    this.config = config;
    this.frameBytes = frameBytes;
    this.audio = audio;
    this.heard = heard;
    this.said = said;
  }

  /**
   * Follows until the take is over.
   *
   * @throws StatusRuntimeException if the service refuses, or stays away for half an hour
   * @throws IOException if the source of the audio fails
   */
  public void run() throws IOException {
    long goneSinceMs = -1;
    int unknown = 0;
    long pauseMs = FIRST_PAUSE_MS;
    boolean skip = false;
    while (true) {
      Call call = new Call(skip);
      skip = false;
      try {
        if (call.run(goneSinceMs >= 0)) {
          return;
        }
        // The service is behind the oldest audio that is kept: the next call tells it where that
        // begins.
        skip = true;
        continue;
      } catch (StatusRuntimeException e) {
        long nowMs = System.nanoTime() / 1_000_000;
        if (call.isStarted) {
          goneSinceMs = -1;
          unknown = 0;
          pauseMs = FIRST_PAUSE_MS;
        }
        boolean isUnknown = e.getStatus().getCode() == Status.Code.NOT_FOUND && !id.isEmpty();
        if (isUnknown && ++unknown >= UNKNOWN_EACH * connection.servers()) {
          // A new session begins at the oldest audio that is kept; the next call says where.
          said.accept("the service no longer knows the session: a new one begins");
          id = "";
          skip = true;
          continue;
        }
        if (!isUnknown && !isDrop(e, call.isStarted)) {
          throw e;
        }
        if (goneSinceMs < 0) {
          goneSinceMs = nowMs;
          said.accept(
              String.format(
                  Locale.ROOT,
                  "the service is gone at %.1f s of the take: retrying, and keeping up to %d"
                      + " MiB of audio for it",
                  seconds(position / frameBytes),
                  Backlog.MAX_BYTES >> 20));
        } else if (nowMs - goneSinceMs > GIVE_UP_MS) {
          throw e;
        }
        pause(pauseMs);
        pauseMs = Math.min(2 * pauseMs, MAX_PAUSE_MS);
        connection.retryNow();
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
        throw Status.CANCELLED.withDescription("interrupted").asRuntimeException();
      }
    }
  }

  /** Frames that no service has heard or will hear. */
  public long lostFrames() {
    return lostFrames;
  }

  /** Whether calling again may help. */
  private boolean isDrop(StatusRuntimeException e, boolean isStarted) {
    if (connection.isOwn() || !hasBegun) {
      return false;
    }
    return switch (e.getStatus().getCode()) {
      // The service is gone, or the source paused for longer than the service waits.
      case UNAVAILABLE, DEADLINE_EXCEEDED -> true;
      // A call cut off by a service's end says no more than that.
      case CANCELLED -> Status.trailersFromThrowable(e).keys().isEmpty();
      // The service has not noticed the drop yet, has no room yet, or is writing its token.
      case ABORTED, RESOURCE_EXHAUSTED, UNAUTHENTICATED -> !isStarted;
      default -> false;
    };
  }

  private static void pause(long ms) {
    try {
      Thread.sleep(ms);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw Status.CANCELLED.withDescription("interrupted").asRuntimeException();
    }
  }

  private double seconds(long frames) {
    return (double) frames / config.getFormat().getSampleRateHz();
  }

  /** One call, which sends no faster than the service receives. */
  private final class Call
      implements ClientResponseObserver<FollowSessionRequest, FollowSessionResponse> {
    private final boolean skip;
    private ClientCallStreamObserver<FollowSessionRequest> stream;

    // Set by the network's thread, which then wakes the sender.
    private volatile boolean isStarted;
    private volatile long nextFrame;
    private volatile boolean isOver;
    private volatile RuntimeException failure;

    /** A call that begins with the oldest audio kept, or where the session stands. */
    Call(boolean skip) {
      this.skip = skip;
    }

    /**
     * Whether the take is over; else the service wants audio that is no longer there.
     *
     * @param isAgain whether that it goes on is news
     */
    boolean run(boolean isAgain) throws IOException, InterruptedException {
      SessionServiceGrpc.newStub(connection.channel()).followSession(this);
      FollowSessionConfig.Builder settings = config.toBuilder();
      if (!id.isEmpty()) {
        settings.clearSheet().setSessionId(id);
      }
      long firstFrame = (audio.oldest() + frameBytes - 1) / frameBytes;
      if (skip && firstFrame > 0) {
        settings.setFirstFrame(firstFrame);
      }
      stream.onNext(FollowSessionRequest.newBuilder().setConfig(settings).build());
      audio.await(() -> isStarted || isOver);
      if (!isOver) {
        position = (skip ? Math.max(firstFrame, nextFrame) : nextFrame) * frameBytes;
        if (skip && nextFrame < firstFrame) {
          lostFrames += firstFrame - nextFrame;
          said.accept(
              String.format(
                  Locale.ROOT,
                  "%.1f to %.1f s of the take never reached the service, which treats them as"
                      + " silence: what was played there counts as missing",
                  seconds(nextFrame),
                  seconds(firstFrame)));
        } else if (isAgain) {
          said.accept(
              String.format(
                  Locale.ROOT, "the service is back: continuing at %.1f s", seconds(nextFrame)));
        }
        if (skip && nextFrame > firstFrame) {
          // The audio begins where the settings say; the service ignores what it has.
          position = firstFrame * frameBytes;
        }
        if (!send()) {
          return false;
        }
      }
      audio.await(() -> isOver);
      if (failure != null) {
        throw failure;
      }
      return true;
    }

    /** Sends audio until the take or the call ends; false if some was dropped. */
    private boolean send() throws IOException, InterruptedException {
      while (true) {
        byte[] piece = audio.next(position, () -> isOver);
        if (position < audio.oldest() && !isOver) {
          stream.cancel("audio was given up", null);
          audio.await(() -> isOver);
          return false;
        }
        if (piece == null) {
          if (!isOver) {
            stream.onCompleted();
          }
          return true;
        }
        audio.await(() -> stream.isReady() || isOver);
        if (isOver) {
          return true;
        }
        stream.onNext(
            FollowSessionRequest.newBuilder().setAudio(ByteString.copyFrom(piece)).build());
        position += piece.length;
        audio.sent(position);
      }
    }

    @Override
    public void beforeStart(ClientCallStreamObserver<FollowSessionRequest> call) {
      stream = call;
      call.setOnReadyHandler(audio::wake);
    }

    @Override
    public void onNext(FollowSessionResponse answer) {
      if (answer.hasStarted()) {
        id = answer.getStarted().getSessionId();
        hasBegun = true;
        nextFrame = answer.getStarted().getNextFrame();
        isStarted = true;
        audio.wake();
      }
      heard.accept(answer);
    }

    @Override
    public void onError(Throwable problem) {
      failure =
          problem instanceof StatusRuntimeException known
              ? known
              : Status.fromThrowable(problem).asRuntimeException();
      isOver = true;
      audio.wake();
    }

    @Override
    public void onCompleted() {
      isOver = true;
      audio.wake();
    }
  }
}
