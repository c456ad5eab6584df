package takewright.examples;

import com.google.protobuf.ByteString;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import java.util.Locale;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.function.Consumer;
import takewright.v1.FollowSessionConfig;
import takewright.v1.FollowSessionRequest;
import takewright.v1.FollowSessionResponse;

/**
 * Follows a session while it is recorded, through dropped connections and restarted services: it
 * calls again, continues the session where the service stands, and the notes are reported once
 * more.
 */
final class Follow {
  /** A service keeps an interrupted session for half an hour. */
  private static final long GIVE_UP_MS = TimeUnit.MINUTES.toMillis(30);

  private static final long FIRST_PAUSE_MS = 250;
  private static final long MAX_PAUSE_MS = 4_000;

  private final Takewright client;
  private final FollowSessionConfig config;
  private final Backlog audio;
  private final Consumer<FollowSessionResponse> heard;
  private final Consumer<String> say;
  private final int frameBytes;

  private String sessionId = "";
  private long goneSinceMs = -1;
  private long pauseMs = FIRST_PAUSE_MS;

  /**
   * @param say takes a line about each drop and its outcome
   */
  Follow(
      Takewright client,
      FollowSessionConfig config,
      Backlog audio,
      Consumer<FollowSessionResponse> heard,
      Consumer<String> say) {
    this.client = client;
    this.config = config;
    this.audio = audio;
    this.heard = heard;
    this.say = say;
    frameBytes =
        config.getFormat().getChannels() * Sound.sampleBytes(config.getFormat().getEncoding());
  }

  /** Follows until the take is over. */
  void run() throws InterruptedException {
    boolean skips = false;
    while (true) {
      Attempt attempt = new Attempt(skips);
      skips = false;
      try {
        attempt.run();
        return;
      } catch (Backlog.Dropped e) {
        skips = true;
      } catch (StatusRuntimeException e) {
        Status.Code code = e.getStatus().getCode();
        if (sessionId.isEmpty() || !isDrop(code, attempt.isStarted())) {
          throw e;
        }
        if (code == Status.Code.NOT_FOUND) {
          say.accept("the service no longer knows the session: a new one begins");
          sessionId = "";
          skips = true;
        }
        long nowMs = System.nanoTime() / 1_000_000;
        if (goneSinceMs < 0) {
          goneSinceMs = nowMs;
          say.accept("the service is gone: retrying");
        } else if (nowMs - goneSinceMs > GIVE_UP_MS) {
          throw e;
        }
        Thread.sleep(pauseMs);
        pauseMs = Math.min(2 * pauseMs, MAX_PAUSE_MS);
      }
    }
  }

  /** Whether calling again may help. */
  private static boolean isDrop(Status.Code code, boolean isStarted) {
    return switch (code) {
      case UNAVAILABLE, DEADLINE_EXCEEDED, CANCELLED -> true;
      // The service has not noticed the drop yet, has no room yet, is writing its token, or has
      // lost the session.
      case ABORTED, RESOURCE_EXHAUSTED, UNAUTHENTICATED, NOT_FOUND -> !isStarted;
      default -> false;
    };
  }

  private String seconds(long frames) {
    return String.format(
        Locale.ROOT, "%.1f s", (double) frames / config.getFormat().getSampleRateHz());
  }

  /** One call of the session: the settings, then audio from where the service stands. */
  private final class Attempt {
    /** First frame of the audio that is sent; 0: where the session stands. */
    private final long firstFrame;

    private final CountDownLatch started = new CountDownLatch(1);
    private final Call<FollowSessionRequest, FollowSessionResponse> call = new Call<>(this::take);
    private volatile long nextFrame;

    Attempt(boolean skips) {
      firstFrame = skips ? (audio.start() + frameBytes - 1) / frameBytes : 0;
    }

    boolean isStarted() {
      return started.getCount() == 0;
    }

    private void take(FollowSessionResponse response) {
      if (response.hasStarted()) {
        sessionId = response.getStarted().getSessionId();
        nextFrame = response.getStarted().getNextFrame();
        if (goneSinceMs >= 0) {
          say.accept("the service is back: continuing at " + seconds(nextFrame));
        }
        if (firstFrame > nextFrame) {
          say.accept(
              seconds(firstFrame - nextFrame)
                  + " never reached the service, which treats them as silence");
        }
        goneSinceMs = -1;
        pauseMs = FIRST_PAUSE_MS;
        started.countDown();
      }
      heard.accept(response);
    }

    void run() throws InterruptedException {
      FollowSessionConfig.Builder settings = config.toBuilder();
      if (!sessionId.isEmpty()) {
        settings.clearSheet().setSessionId(sessionId);
      }
      if (firstFrame > 0) {
        settings.setFirstFrame(firstFrame);
      }
      client.sessions().followSession(call);
      call.send(FollowSessionRequest.newBuilder().setConfig(settings).build());
      while (!started.await(200, TimeUnit.MILLISECONDS) && !call.isOver()) {
        // Until the service says where it stands, or refuses.
      }
      // What the service has already it ignores.
      long position = (firstFrame > 0 ? firstFrame : nextFrame) * frameBytes;
      try {
        for (ByteString piece; (piece = audio.next(position, call::isOver)) != null; ) {
          if (!call.sendUnlessOver(FollowSessionRequest.newBuilder().setAudio(piece).build())) {
            break;
          }
          position += piece.size();
        }
      } catch (Backlog.Dropped e) {
        call.cancel("the audio is no longer kept");
        throw e;
      }
      call.finish();
    }
  }
}
