package takewright.service.call;

import com.google.protobuf.ByteString;
import io.grpc.stub.ServerCallStreamObserver;
import io.grpc.stub.StreamObserver;
import java.util.concurrent.ScheduledFuture;
import java.util.concurrent.ScheduledThreadPoolExecutor;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicBoolean;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.service.access.Limits;
import takewright.v1.AudioInput;

/**
 * One call of a {@link StreamedOperation}: settings first and once, then audio if it is streamed.
 * Until the work starts, only the network's thread responds; afterwards only the worker does.
 * Problems of later messages reach the worker through its audio.
 */
public final class StreamedCall<Q, C, A> implements StreamObserver<Q> {
  /** Ends calls whose first message does not come; they hold no worker that could. */
  private static final ScheduledThreadPoolExecutor LATE = late();

  private final StreamedOperation<Q, C, A> operation;
  private final Site site;
  private final ServerCallStreamObserver<A> call;
  private final Answers<A> answers;

  /** Set by what comes first: a message, the end of the stream, or its lateness. */
  private final AtomicBoolean isBegun = new AtomicBoolean();

  private ScheduledFuture<?> lateness;
  private C config;
  private PcmInbox inbox;
  private volatile boolean over;

  private StreamedCall(
      StreamedOperation<Q, C, A> operation, Site site, ServerCallStreamObserver<A> call) {
    this.operation = operation;
    this.site = site;
    this.call = call;
    this.answers = new Answers<>(call);
  }

  private static ScheduledThreadPoolExecutor late() {
    ScheduledThreadPoolExecutor timer =
        new ScheduledThreadPoolExecutor(
            1,
            work -> {
              Thread thread = new Thread(work, "late-calls");
              thread.setDaemon(true);
              return thread;
            });
    timer.setRemoveOnCancelPolicy(true);
    return timer;
  }

  /** Accepts a call. */
  public static <Q, C, A> StreamObserver<Q> open(
      StreamedOperation<Q, C, A> operation, Site site, StreamObserver<A> observer) {
    return open(operation, site, observer, TimeUnit.SECONDS.toMillis(Limits.STALL_S));
  }

  /** With another time until the first message must have come, in milliseconds. */
  static <Q, C, A> StreamObserver<Q> open(
      StreamedOperation<Q, C, A> operation, Site site, StreamObserver<A> observer, long stallMs) {
    ServerCallStreamObserver<A> call = (ServerCallStreamObserver<A>) observer;
    StreamedCall<Q, C, A> streamed = new StreamedCall<>(operation, site, call);
    call.disableAutoRequest();
    call.setOnReadyHandler(streamed.answers::changed);
    call.setOnCancelHandler(streamed::cancelled);
    streamed.lateness =
        LATE.schedule(() -> streamed.isLate(stallMs), stallMs, TimeUnit.MILLISECONDS);
    call.request(1);
    return streamed;
  }

  private void isLate(long stallMs) {
    if (isBegun.compareAndSet(false, true)) {
      over = true;
      answers.fail(
          new ProblemException(
              Reason.TOO_SLOW,
              "config",
              "did not come for " + stallMs / 1000 + " s",
              "send it as the first message"));
    }
  }

  /** Something came from the client. */
  private void begun() {
    if (isBegun.compareAndSet(false, true)) {
      lateness.cancel(false);
    }
  }

  @Override
  public void onNext(Q request) {
    begun();
    if (over) {
      return;
    }
    try {
      take(request);
    } catch (RuntimeException e) {
      over = true;
      if (inbox == null) {
        answers.fail(e);
      } else {
        inbox.fail(e);
      }
    }
  }

  private void take(Q request) {
    C first = operation.config(request);
    ByteString audio = operation.audio(request);
    if (first == null && audio == null) {
      throw ProblemException.invalid(
          "config", "is missing in a message, and so is `audio`", "send one of the two");
    }
    if (config == null) {
      if (first == null) {
        throw ProblemException.invalid(
            "config",
            "is missing in the first message, which holds `audio`",
            "send the settings first");
      }
      begin(first);
      return;
    }
    if (first != null) {
      throw ProblemException.invalid("config", "came twice", "send it in the first message alone");
    }
    if (inbox == null) {
      throw ProblemException.invalid(
          "audio", "came, but `config.input` is a file", "send one of the two");
    }
    if (audio.size() > Limits.AUDIO_BYTES) {
      throw new ProblemException(
          Reason.MESSAGE_TOO_LARGE,
          "audio",
          "holds " + audio.size() + " bytes, and a message may hold " + Limits.AUDIO_BYTES,
          "send smaller pieces");
    }
    inbox.put(audio);
  }

  private void begin(C first) {
    AudioInput input = operation.input(first);
    switch (input.getSourceCase()) {
      case PCM -> {
        PcmInbox box = new PcmInbox(operation.formatField(), input.getPcm(), () -> call.request(1));
        if (operation.isRecorded()) {
          box.comesFromRecorder();
        }
        box.askAhead();
        work(first, CallAudio.of(box, call::isCancelled));
        inbox = box;
      }
      // Work on a file starts only at the end of the stream, so that later messages are checked
      // first.
      case FILE -> call.request(1);
      default ->
          throw ProblemException.invalid(
              "config.input", "needs exactly one of `file` and `pcm`, and has none", "set one");
    }
    config = first;
  }

  @Override
  public void onCompleted() {
    begun();
    if (over) {
      return;
    }
    over = true;
    if (inbox != null) {
      inbox.end();
      return;
    }
    try {
      if (config == null) {
        throw ProblemException.invalid(
            "config",
            "is missing, as the stream ended before its first message",
            "send the settings");
      }
      site.workers().run(operation.priority(), this::workOnFile);
    } catch (RuntimeException e) {
      answers.fail(e);
    }
  }

  private void workOnFile() {
    if (answers.cancelled()) {
      return;
    }
    try {
      String path = operation.input(config).getFile();
      CallAudio audio =
          CallAudio.of(site.folders().fileToRead("config.input.file", path), call::isCancelled);
      perform(config, audio);
    } catch (Throwable e) {
      answers.fail(e);
    }
  }

  private void work(C settings, CallAudio audio) {
    site.workers()
        .run(
            operation.priority(),
            () -> {
              try {
                perform(settings, audio);
              } catch (Throwable e) {
                answers.fail(e);
              }
            });
  }

  private void perform(C settings, CallAudio audio) throws Exception {
    try (audio) {
      operation.run(settings, audio, site, answers);
    }
    answers.end();
  }

  private void cancelled() {
    begun();
    over = true;
    if (inbox != null) {
      inbox.fail(ProblemException.cancelled());
    }
    answers.changed();
  }

  @Override
  public void onError(Throwable gone) {
    cancelled();
  }
}
