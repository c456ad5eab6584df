package takewright.service.session;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.protobuf.ByteString;
import io.grpc.ManagedChannel;
import io.grpc.Metadata;
import io.grpc.Status;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.stub.MetadataUtils;
import io.grpc.stub.StreamObserver;
import java.io.IOException;
import java.net.ServerSocket;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import java.util.function.Function;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.report.Browser;
import takewright.service.Calls;
import takewright.service.ServerSettings;
import takewright.service.TakewrightServer;
import takewright.testing.TakeBuilder;
import takewright.v1.EndSessionRequest;
import takewright.v1.FollowSessionConfig;
import takewright.v1.FollowSessionRequest;
import takewright.v1.FollowSessionResponse;
import takewright.v1.NoteVerdict;
import takewright.v1.OpenBoardRequest;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;
import takewright.v1.SessionDecision;
import takewright.v1.SessionServiceGrpc;
import takewright.v1.SessionVerdict;

/** The board of a session in a browser, with invented notes. */
class BoardTest {
  private static final int RATE = 16_000;

  /** Middle C is C3 here, so the board must spell notes as the sheet does. */
  private static final String SHEET =
      """
      library: Larkfell
      middle_c: C3
      takes:
        - {file: hum.wav, articulation: hum, notes: [A3, B3, C4, D4], dynamics: [f]}
      """;

  @TempDir Path folder;
  private TakewrightServer server;
  private ManagedChannel channel;
  private Browser browser;
  private int port;
  private int boardPort;

  @BeforeEach
  void start() throws IOException {
    folder = folder.toRealPath();
    port = freePort();
    boardPort = freePort();
    serve();
    browser = new Browser(folder);
  }

  private static int freePort() throws IOException {
    try (ServerSocket socket = new ServerSocket(0)) {
      return socket.getLocalPort();
    }
  }

  private void serve() throws IOException {
    server =
        TakewrightServer.start(
            new ServerSettings(
                ServerSettings.DEFAULT_HOST,
                port,
                List.of(),
                folder.resolve("token"),
                null,
                -1,
                -1,
                boardPort,
                folder.resolve("state")));
    Metadata headers = new Metadata();
    headers.put(
        Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER),
        "Bearer " + Files.readString(server.tokenFile()).strip());
    channel =
        NettyChannelBuilder.forTarget(server.address())
            .usePlaintext()
            .proxyDetector(address -> null)
            .intercept(MetadataUtils.newAttachHeadersInterceptor(headers))
            .build();
  }

  @AfterEach
  void stop() throws IOException {
    browser.close();
    channel.shutdownNow();
    server.close();
  }

  /**
   * A note of a second, its pause, as 16-bit samples; in front of the first two seconds of room.
   */
  private static byte[] played(int... midis) {
    TakeBuilder builder = new TakeBuilder(RATE, 5).pause(2);
    for (int midi : midis) {
      float[] note = Calls.note(RATE, 440 * Math.pow(2, (midi - 69) / 12.0)).channel(0);
      builder.sound("note", midi, Arrays.copyOfRange(note, RATE / 2, note.length), -12, -62);
      builder.pause(1.7);
    }
    return bytes(builder.build(-62).channel(0));
  }

  private static byte[] bytes(float[] samples) {
    byte[] bytes = new byte[2 * samples.length];
    for (int i = 0; i < samples.length; i++) {
      int sample = Math.round(samples[i] * 32767);
      bytes[2 * i] = (byte) sample;
      bytes[2 * i + 1] = (byte) (sample >> 8);
    }
    return bytes;
  }

  /** One call of a session. */
  private final class Player implements StreamObserver<FollowSessionResponse> {
    private final BlockingQueue<FollowSessionResponse> answers = new LinkedBlockingQueue<>();
    private final StreamObserver<FollowSessionRequest> call;
    final String session;

    Player(String sessionId) throws InterruptedException {
      this(sessionId, SHEET);
    }

    Player(String sessionId, String sheet) throws InterruptedException {
      call = SessionServiceGrpc.newStub(channel).followSession(this);
      FollowSessionConfig.Builder config =
          FollowSessionConfig.newBuilder()
              .setSessionId(sessionId)
              .setFormat(
                  PcmFormat.newBuilder()
                      .setEncoding(PcmEncoding.PCM_ENCODING_INT16)
                      .setSampleRateHz(RATE)
                      .setChannels(1));
      if (sessionId.isEmpty()) {
        config.setSheetText(sheet);
      }
      call.onNext(FollowSessionRequest.newBuilder().setConfig(config).build());
      session = await(a -> a.hasStarted() ? a.getStarted().getSessionId() : null);
    }

    /** As fast as a recorder delivers it. */
    Thread playAtItsSpeed(byte[] audio) {
      Thread recorder =
          new Thread(
              () -> {
                int piece = 2 * RATE / 25;
                long began = System.nanoTime();
                for (int at = 0; at < audio.length; at += piece) {
                  long due = began + (long) (1e9 * at / (2 * RATE));
                  java.util.concurrent.locks.LockSupport.parkNanos(due - System.nanoTime());
                  play(Arrays.copyOfRange(audio, at, Math.min(audio.length, at + piece)));
                }
              },
              "recorder");
      recorder.start();
      return recorder;
    }

    void play(byte[] audio) {
      int piece = 2 * RATE / 10;
      for (int at = 0; at < audio.length; at += piece) {
        call.onNext(
            FollowSessionRequest.newBuilder()
                .setAudio(ByteString.copyFrom(audio, at, Math.min(piece, audio.length - at)))
                .build());
      }
    }

    /** The first answer from which something can be taken. */
    <T> T await(Function<FollowSessionResponse, T> what) throws InterruptedException {
      while (true) {
        FollowSessionResponse answer = answers.poll(60, TimeUnit.SECONDS);
        if (answer == null) {
          throw new AssertionError("no such answer came");
        }
        T found = what.apply(answer);
        if (found != null) {
          return found;
        }
      }
    }

    @Override
    public void onNext(FollowSessionResponse answer) {
      answers.add(answer);
    }

    @Override
    public void onError(Throwable gone) {}

    @Override
    public void onCompleted() {}
  }

  private String board(String session) {
    return SessionServiceGrpc.newBlockingStub(channel)
        .openBoard(OpenBoardRequest.newBuilder().setSessionId(session).build())
        .getUrl();
  }

  private void untilText(String selector, String words) {
    browser.until(selector + " says " + words, () -> browser.text(selector).contains(words));
  }

  /** The room is recorded on; a decision is heeded with the next block of audio. */
  private void playUntil(Player player, String selector, String words) {
    browser.until(
        selector + " says " + words,
        () -> {
          player.play(new byte[2 * RATE / 10]);
          return browser.text(selector).contains(words);
        });
  }

  @Test
  void theBoardFollowsTheSessionAndTakesDecisionsThroughARestart() throws Exception {
    Player player = new Player("");
    browser.complaints();
    browser.open(board(player.session));
    untilText("#next-note", "A3");
    untilText("#missing", "4");
    // Letters to be read from across the room: a quarter of the screen's height and more. They stay
    // inside their panel, with a sharp as well.
    for (String note : List.of("A3", "G#4", "A#-1")) {
      String set =
          "const note = document.getElementById('next-note'); note.textContent = '"
              + note
              + "'; note.style.setProperty('--letters', note.textContent.length); ";
      Number share =
          (Number)
              browser.run(set + "return parseFloat(getComputedStyle(note).fontSize) / innerHeight");
      assertTrue(share.doubleValue() > 0.25, note + ": share of the height: " + share);
      Number beyond =
          (Number)
              browser.run(
                  set
                      + "const r = document.createRange(); r.selectNodeContents(note);"
                      + " return r.getBoundingClientRect().width - note.parentElement.clientWidth");
      assertTrue(beyond.doubleValue() < 0, note + " is wider than its panel by " + beyond);
    }

    Number larger =
        (Number)
            browser.inWindowOf(
                500,
                900,
                "const size = (id) => parseFloat(getComputedStyle(document.getElementById(id)).fontSize);"
                    + " return size('last-line') / size('last-why')");
    assertTrue(larger.doubleValue() > 1, "what was heard stands out from why: " + larger);

    // A, B of the sheet's octave, where middle C is C3.
    Thread recorder = player.playAtItsSpeed(played(69, 71));
    browser.until("a level is shown", () -> browser.text("#peak").contains("dBFS"));
    browser.until(
        "A3 is told",
        () -> (browser.text("#last-line") + browser.text("#recent")).contains("good: A3 f"));
    untilText("#next-note", "C4");
    untilText("#missing", "2");
    untilText("#last-line", "good: B3 f");
    recorder.join();
    assertEquals(2, browser.all("#grid span.good").size());
    assertEquals(
        NoteVerdict.NOTE_VERDICT_GOOD,
        player.await(a -> a.hasNote() ? a.getNote().getVerdict() : null));
    untilText("#peak", "dBFS");
    assertEquals(List.of(), browser.complaints());

    // The player is to play B again, and D is left out.
    browser.find("#again").click();
    playUntil(player, "#next-note", "B3");
    browser.find("[data-place='3']").click();
    playUntil(player, "#missing", "2");
    List<SessionDecision> decided =
        player.await(
            a ->
                a.getDecisions().getDecisionsCount() == 2
                    ? a.getDecisions().getDecisionsList()
                    : null);
    assertEquals(SessionVerdict.SESSION_VERDICT_DROP, decided.get(0).getVerdict());
    assertEquals(5.95, decided.get(0).getAtS(), 0.75, "inside the second note");
    assertEquals("D4", decided.get(1).getCell().getNote());

    // The connection drops and returns: nothing is lost.
    player.call.onError(Status.CANCELLED.asRuntimeException());
    untilText("#link", "No audio arrives");
    player = new Player(player.session);
    Player returned = player;
    browser.until(
        "audio arrives again",
        () -> {
          returned.play(new byte[2 * RATE / 10]);
          return browser.text("#link").isEmpty();
        });
    assertEquals("B3", browser.text("#next-note"), "what is missing still is");

    // The service is started again: the page waits, then goes on, and what was decided holds.
    channel.shutdownNow();
    server.close();
    untilText("#link", "waits for it");
    serve();
    Player back = new Player(player.session);
    int kept = back.await(a -> a.hasDecisions() ? a.getDecisions().getDecisionsCount() : null);
    assertEquals(2, kept, "through the restart");
    untilText("#next-note", "B3");
    back.play(played(71, 72));
    untilText("#next-note", "Done");
    back.call.onCompleted();
    untilText("#link", "No audio arrives");
  }

  /** Who reaches for the board after a note means the note, though a foot was heard since. */
  @Test
  void aKnockDoesNotComeBetweenANoteAndItsButtons() throws Exception {
    Player player = new Player("");
    browser.open(board(player.session));
    untilText("#next-note", "A3");
    TakeBuilder builder = new TakeBuilder(RATE, 5).pause(2);
    float[] note = Calls.note(RATE, 440).channel(0);
    builder.sound("note", 69, Arrays.copyOfRange(note, RATE / 2, note.length), -12, -62).pause(1.7);
    builder.sound("knock", -1, builder.knock(), -20, -62).pause(1);
    player.play(bytes(builder.build(-62).channel(0)));
    // Whether it begins a note is known a second later.
    playUntil(player, "#recent", "left out");
    assertTrue(browser.text("#last-line").contains("good: A3 f"), browser.text("#last-line"));
    browser.run("touched = document.querySelector('#recent button')");
    browser.find("#again").click();
    playUntil(player, "#missing", "4");
    assertEquals(true, browser.run("return touched.isConnected"), "a button under a finger stays");
    // The knock can be decided on too.
    browser.find("#recent button").click();
    untilText("#last-line", "left out");
    browser.find("#good").click();
    List<SessionDecision> decided =
        player.await(
            a -> {
              player.play(new byte[2 * RATE / 10]);
              return a.getDecisions().getDecisionsCount() == 2
                  ? a.getDecisions().getDecisionsList()
                  : null;
            });
    assertEquals(SessionVerdict.SESSION_VERDICT_DROP, decided.get(0).getVerdict());
    assertEquals(SessionVerdict.SESSION_VERDICT_KEEP, decided.get(1).getVerdict());
  }

  /**
   * In the sheet's octaves, where middle C is C3, everything sounds an octave lower than it asks.
   */
  @Test
  void theBoardSaysWhereTheSheetDoesNotSayWhatIsPlayed() throws Exception {
    Player player = new Player("", SHEET.replace("[A3, B3, C4, D4]", "A3..E4"));
    browser.open(board(player.session));
    untilText("#next-note", "A3");
    assertEquals("", browser.text("#doubt"));
    player.play(played(57, 58, 59, 60, 61, 62, 63, 64));
    playUntil(player, "#doubt", "`middle_c` may not be right");
    assertTrue(browser.text("#doubt").contains("12 semitones below"), browser.text("#doubt"));
    assertTrue(browser.text("#doubt").contains("Line 2 of the sheet"), browser.text("#doubt"));
  }

  /** Of five octaves, the screen is two octaves wide. */
  @Test
  void theNextCellOfAWideGridIsInSight() throws Exception {
    Player player = new Player("", SHEET.replace("[A3, B3, C4, D4]", "A1..A6"));
    browser.open(board(player.session));
    untilText("#next-note", "A1");
    player.play(played(80));
    playUntil(player, "#next-note", "A4");
    browser.until(
        "the next cell is in sight",
        () ->
            Boolean.TRUE.equals(
                browser.run(
                    "const cell = document.querySelector('#grid .now').getBoundingClientRect();"
                        + "return cell.left > 0 && cell.right < window.innerWidth")));
  }

  @Test
  void onlyWhoHasTheAddressSeesTheBoard() throws Exception {
    Player player = new Player("");
    String address = board(player.session);
    HttpClient client = HttpClient.newHttpClient();
    for (String bad :
        List.of(
            address.substring(0, address.length() - 2) + "/",
            address.replaceFirst("/board/.*", "/board//"),
            address + "../state",
            address + "other.js")) {
      HttpResponse<String> answer =
          client.send(
              HttpRequest.newBuilder(URI.create(bad)).build(),
              HttpResponse.BodyHandlers.ofString());
      assertEquals(404, answer.statusCode(), bad);
    }
    HttpResponse<String> page =
        client.send(
            HttpRequest.newBuilder(URI.create(address)).build(),
            HttpResponse.BodyHandlers.ofString());
    assertEquals(200, page.statusCode());
    assertFalse(page.body().contains(player.session));
    HttpResponse<String> nonsense =
        client.send(
            HttpRequest.newBuilder(URI.create(address + "decide"))
                .POST(HttpRequest.BodyPublishers.ofString("{\"note\": \"x\"}"))
                .build(),
            HttpResponse.BodyHandlers.ofString());
    assertEquals(400, nonsense.statusCode());
    Calls.refused(Status.Code.NOT_FOUND, () -> board("0".repeat(32)), "session_id");
  }

  @Test
  void aSessionThatWasDroppedCanBeEnded() throws Exception {
    Player player = new Player("");
    EndSessionRequest end = EndSessionRequest.newBuilder().setSessionId(player.session).build();
    Calls.refused(
        Status.Code.ABORTED,
        () -> SessionServiceGrpc.newBlockingStub(channel).endSession(end),
        "session_id");
    player.call.onError(Status.CANCELLED.asRuntimeException());
    for (int tries = 0; ; tries++) {
      try {
        SessionServiceGrpc.newBlockingStub(channel).endSession(end);
        break;
      } catch (io.grpc.StatusRuntimeException stillHeld) {
        assertTrue(tries < 100, "the call is gone after a while");
        Thread.sleep(50);
      }
    }
    Calls.refused(
        Status.Code.NOT_FOUND,
        () -> SessionServiceGrpc.newBlockingStub(channel).endSession(end),
        "session_id");
    Calls.refused(Status.Code.NOT_FOUND, () -> board(player.session), "session_id");
  }
}
