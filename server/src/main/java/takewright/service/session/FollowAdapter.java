package takewright.service.session;

import com.google.protobuf.ByteString;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Random;
import java.util.concurrent.atomic.AtomicBoolean;
import java.util.stream.Collectors;
import takewright.audio.AudioSource;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.library.follow.Follow;
import takewright.library.follow.LevelMeter;
import takewright.service.access.Limits;
import takewright.service.call.Answers;
import takewright.service.call.CallAudio;
import takewright.service.call.Site;
import takewright.service.call.StreamedOperation;
import takewright.service.wire.Wire;
import takewright.service.work.Priority;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.Take;
import takewright.sheet.read.SheetReader;
import takewright.v1.AudioInput;
import takewright.v1.FollowSessionConfig;
import takewright.v1.FollowSessionRequest;
import takewright.v1.FollowSessionResponse;

/** Adapter of FollowSession. */
final class FollowAdapter
    implements StreamedOperation<FollowSessionRequest, FollowSessionConfig, FollowSessionResponse> {
  /** Frames processed at a time: 20 ms at 48 kHz, less than a client sends at once. */
  private static final int BLOCK = 1024;

  /** The longest gap that is filled with silence, in seconds. */
  private static final long MAX_GAP_S = 3600;

  /**
   * How long a take's end waits for a cancellation, in milliseconds. Node's HTTP/2 closes its side
   * of the stream with each cancellation and missed deadline, directly before it says so; nobody
   * meant to end the take then.
   */
  private static final long END_MS = 100;

  private final Sessions sessions;
  private final AtomicBoolean isWarm = new AtomicBoolean();

  FollowAdapter(Sessions sessions) {
    this.sessions = sessions;
  }

  @Override
  public FollowSessionConfig config(FollowSessionRequest request) {
    return request.hasConfig() ? request.getConfig() : null;
  }

  @Override
  public ByteString audio(FollowSessionRequest request) {
    return request.hasAudio() ? request.getAudio() : null;
  }

  @Override
  public AudioInput input(FollowSessionConfig config) {
    return AudioInput.newBuilder().setPcm(config.getFormat()).build();
  }

  @Override
  public String formatField() {
    return "config.format.";
  }

  @Override
  public boolean isRecorded() {
    return true;
  }

  @Override
  public Priority priority() {
    return Priority.LIVE;
  }

  @Override
  public void run(
      FollowSessionConfig config,
      CallAudio audio,
      Site site,
      Answers<FollowSessionResponse> answers)
      throws IOException {
    AudioSource source = audio.once();
    Sessions.Session session = session(config, audio, source, site);
    boolean isOver = false;
    try {
      Follow follow = session.follow();
      long gap = gap(config, follow, source.sampleRate());
      Teller teller = new Teller(session, answers);
      teller.start();
      if (!hear(session, source, gap, teller)) {
        isOver = true;
        throw new ProblemException(
            Reason.TOO_MUCH,
            "",
            "this session has heard more sounds than can be matched with its cells",
            "begin a new one, for a part of the take");
      }
      if (answers.isCancelledWithin(END_MS)) {
        throw ProblemException.cancelled();
      }
      isOver = true;
      teller.tell(follow.finish());
      teller.decide();
    } finally {
      session.board().show(session.board().levels().over());
      if (isOver && answers.cancelled()) {
        sessions.leaveFinished(session);
      } else if (isOver) {
        sessions.end(session);
      } else {
        sessions.leave(session);
      }
    }
  }

  /**
   * Frames between what the session has heard and what the call begins with; negative if it repeats
   * some.
   */
  private static long gap(FollowSessionConfig config, Follow follow, int sampleRate) {
    long first = config.hasFirstFrame() ? config.getFirstFrame() : follow.frames();
    long gap = first - follow.frames();
    if (first < 0 || gap > MAX_GAP_S * sampleRate) {
      throw ProblemException.invalid(
          "config.first_frame",
          "is " + first + ", and the session goes on at " + follow.frames(),
          "start there or at most an hour later");
    }
    return gap;
  }

  /**
   * Hears a call's audio to its end and tells what is in it.
   *
   * @param gap as above
   * @return whether the session could take all of it
   */
  private static boolean hear(Sessions.Session session, AudioSource source, long gap, Teller teller)
      throws IOException {
    Follow follow = session.follow();
    LevelMeter meter = new LevelMeter(source.sampleRate());
    float[][] block = new float[source.channels()][BLOCK];
    silence(session, gap, block, teller);
    long known = -gap;
    for (int n; (n = source.read(block, 0, BLOCK)) >= 0; ) {
      int passed = (int) Math.max(0, Math.min(n, known));
      known -= passed;
      if (passed < n) {
        for (float[] channel : block) {
          System.arraycopy(channel, passed, channel, 0, n - passed);
        }
        meter.push(block, n - passed);
        teller.tell(session.push(block, n - passed));
        teller.decide();
        session.board().show(levels(meter, follow));
      }
      if (follow.isFull()) {
        return false;
      }
    }
    return true;
  }

  private static Board.Levels levels(LevelMeter meter, Follow follow) {
    return new Board.Levels(
        meter.peakDbfs(),
        Wire.level(follow.roomToneDbfs()),
        follow.seconds(),
        meter.clipped(),
        true);
  }

  /** Audio that never arrived; nobody knows what was played in it. */
  private static void silence(
      Sessions.Session session, long frames, float[][] block, Teller teller) {
    for (long left = frames; left > 0; left -= BLOCK) {
      teller.tell(session.push(block, (int) Math.min(left, BLOCK)));
    }
  }

  private Sessions.Session session(
      FollowSessionConfig config, CallAudio audio, AudioSource source, Site site)
      throws IOException {
    if (config.getSessionId().isEmpty()) {
      WrittenSheet named = sheet(config, site);
      Sheet sheet = naming(named.field, () -> SheetReader.read(Path.of(named.name), named.text));
      Take take = take(sheet, config.getTake());
      int rate = source.sampleRate();
      if (!isWarm.getAndSet(true)) {
        warmUp(Wire.settings(() -> new Follow(sheet, take, rate, 1)), rate);
      }
      return sessions.begin(
          audio,
          new SessionHeader(
              named.name,
              named.text,
              config.getTake(),
              source.sampleRate(),
              source.channels(),
              config.getFormat().getEncoding()),
          () ->
              new Followed(
                  sheet,
                  take,
                  Wire.settings(
                      () -> new Follow(sheet, take, source.sampleRate(), source.channels()))));
    }
    Sessions.Session session = sessions.resume(audio, config.getSessionId());
    boolean fits = false;
    try {
      SessionHeader header = session.header();
      if (header.sampleRate() != source.sampleRate()
          || header.channels() != source.channels()
          || header.encoding() != config.getFormat().getEncoding()) {
        throw ProblemException.invalid(
            "config.format",
            "is not that of the session",
            "send "
                + header.encoding()
                + " with "
                + header.sampleRate()
                + " Hz and "
                + header.channels()
                + " channels, or begin a new session");
      }
      String take = session.followed().take().name();
      if (!config.getTake().isEmpty() && !config.getTake().equals(take)) {
        throw ProblemException.invalid(
            "config.take",
            "is not that of the session, \"" + take + "\"",
            "leave it out, or begin a new session for another take");
      }
      fits = true;
      return session;
    } finally {
      if (!fits) {
        sessions.leave(session);
      }
    }
  }

  /**
   * The first note of a service would be reported late (by 0.2 s, measured), since Java loads and
   * compiles classes only then. So the service hears one before the first session.
   */
  private static void warmUp(Follow follow, int sampleRate) {
    float[][] second = new float[1][sampleRate];
    Random random = new Random(1);
    for (int at = 0; at < 3; at++) {
      for (int i = 0; i < sampleRate; i++) {
        double tone = at == 1 ? 0.1 * Math.sin(2 * Math.PI * 440 * i / sampleRate) : 0;
        second[0][i] = (float) (tone + 1e-4 * random.nextGaussian());
      }
      follow.push(second, sampleRate);
    }
    follow.finish();
  }

  /** Reads a sheet. */
  private interface Reading {
    Sheet read() throws IOException;
  }

  /** Makes an error of the sheet name its field. */
  private static Sheet naming(String field, Reading reading) throws IOException {
    try {
      return reading.read();
    } catch (SheetException e) {
      throw new ProblemException(e.problem().of(field), e);
    }
  }

  /** The text of a sheet, where it is or would be, and the request's field. */
  private record WrittenSheet(String field, String name, String text) {}

  private static WrittenSheet sheet(FollowSessionConfig config, Site site) throws IOException {
    return switch (config.getSheetCase()) {
      case SHEET_FILE -> {
        Path file = site.folders().fileToRead("config.sheet_file", config.getSheetFile());
        // Checked as a file first: it may be too large, or not text.
        naming("config.sheet_file", () -> SheetReader.read(file));
        String text = Files.readString(file);
        // The byte order mark that some editors write.
        yield new WrittenSheet(
            "config.sheet_file",
            file.toString(),
            text.startsWith("\uFEFF") ? text.substring(1) : text);
      }
      case SHEET_TEXT -> {
        if (config.getSheetText().length() > Limits.AUDIO_BYTES) {
          throw ProblemException.invalid(
              "config.sheet_text",
              "is longer than 1 MiB, which no sheet is",
              "send the sheet of the session");
        }
        yield new WrittenSheet("config.sheet_text", "sheet_text", config.getSheetText());
      }
      default ->
          throw ProblemException.invalid(
              "config",
              "needs exactly one of `config.sheet_file` and `config.sheet_text`, and has none",
              "set one");
    };
  }

  /** The take of this name; if the name is empty, the only take. */
  static Take take(Sheet sheet, String name) {
    if (name.isEmpty() && sheet.takes().size() == 1) {
      return sheet.takes().get(0);
    }
    for (Take take : sheet.takes()) {
      if (take.name().equals(name)) {
        return take;
      }
    }
    String known =
        sheet.takes().stream().map(Take::name).limit(20).collect(Collectors.joining(", "));
    String what =
        name.isEmpty()
            ? "is missing, and the sheet has several takes"
            : "is not a take of the sheet: \"" + name + "\"";
    throw ProblemException.invalid("config.take", what, "give one of " + known);
  }
}
