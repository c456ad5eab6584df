package takewright.service.session;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.protobuf.ByteString;
import io.grpc.ManagedChannel;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.inprocess.InProcessChannelBuilder;
import io.grpc.stub.ClientCallStreamObserver;
import io.grpc.stub.ClientResponseObserver;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.nio.file.attribute.FileTime;
import java.nio.file.attribute.PosixFilePermissions;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.TreeMap;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicLong;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.library.follow.Follow;
import takewright.service.Calls;
import takewright.service.TakewrightServer;
import takewright.service.access.Limits;
import takewright.service.call.CallAudio;
import takewright.sheet.Sheet;
import takewright.sheet.Take;
import takewright.sheet.decision.Verdict;
import takewright.sheet.read.SheetReader;
import takewright.testing.ServerProcess;
import takewright.testing.TakeBuilder;
import takewright.v1.Cell;
import takewright.v1.EndSessionRequest;
import takewright.v1.FollowSessionConfig;
import takewright.v1.FollowSessionRequest;
import takewright.v1.FollowSessionResponse;
import takewright.v1.NoteHeard;
import takewright.v1.NoteStatus;
import takewright.v1.OpenBoardRequest;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;
import takewright.v1.SessionServiceGrpc;

/**
 * Sessions followed over the wire: invented notes, of which one is missing and one played twice.
 */
class FollowSessionTest {
  private static final int RATE = 16_000;

  private static final String SHEET =
      """
      library: Invented
      takes:
        - {file: take.wav, articulation: sustain, notes: [A4, B4, C5, D5, E5]}
        - {file: other.wav, articulation: staccato, notes: [A4]}
      """;

  private TakewrightServer server;
  private ManagedChannel channel;
  private static final byte[] TAKE = take();

  @BeforeEach
  void start() throws IOException {
    server = TakewrightServer.startInProcess();
    channel = InProcessChannelBuilder.forName(server.address()).build();
  }

  @AfterEach
  void stop() throws IOException {
    channel.shutdownNow();
    server.close();
  }

  /** A4, B4 twice, no C5, D5, E5: 16-bit samples, 20 s. */
  private static byte[] take() {
    TakeBuilder builder = new TakeBuilder(RATE, 5).pause(2);
    for (int midi : new int[] {69, 71, 71, 74, 76}) {
      float[] note = Calls.note(RATE, 440 * Math.pow(2, (midi - 69) / 12.0)).channel(0);
      builder.sound("note", midi, Arrays.copyOfRange(note, RATE / 2, note.length), -12, -62);
      builder.pause(1.7);
    }
    float[] samples = builder.build(-62).channel(0);
    byte[] bytes = new byte[2 * samples.length];
    for (int i = 0; i < samples.length; i++) {
      int sample = Math.round(samples[i] * 32767);
      bytes[2 * i] = (byte) sample;
      bytes[2 * i + 1] = (byte) (sample >> 8);
    }
    return bytes;
  }

  private static FollowSessionConfig.Builder config() {
    return FollowSessionConfig.newBuilder()
        .setSheetText(SHEET)
        .setTake("take.wav")
        .setFormat(
            PcmFormat.newBuilder()
                .setEncoding(PcmEncoding.PCM_ENCODING_INT16)
                .setSampleRateHz(RATE)
                .setChannels(1));
  }

  /** A client of one call. */
  private final class Client
      implements ClientResponseObserver<FollowSessionRequest, FollowSessionResponse> {
    private final BlockingQueue<Object> events = new LinkedBlockingQueue<>();
    private ClientCallStreamObserver<FollowSessionRequest> call;
    final TreeMap<Integer, NoteHeard> notes = new TreeMap<>();
    final List<NoteHeard> told = new ArrayList<>();
    List<Cell> missing;
    String session;
    long nextFrame;

    Client(FollowSessionConfig.Builder config) {
      this(config, TimeUnit.MINUTES.toMillis(10));
    }

    Client(FollowSessionConfig.Builder config, long deadlineMs) {
      SessionServiceGrpc.newStub(channel)
          .withDeadlineAfter(deadlineMs, TimeUnit.MILLISECONDS)
          .followSession(this);
      call.onNext(FollowSessionRequest.newBuilder().setConfig(config).build());
    }

    /** Sends the bytes from one up to another, 40 ms a message. */
    void send(int from, int to) {
      int piece = 2 * RATE / 25;
      for (int at = from; at < to; at += piece) {
        call.onNext(
            FollowSessionRequest.newBuilder()
                .setAudio(ByteString.copyFrom(TAKE, at, Math.min(piece, to - at)))
                .build());
      }
    }

    void sendOne(ByteString piece) {
      call.onNext(FollowSessionRequest.newBuilder().setAudio(piece).build());
    }

    /** Waits for an answer of some kind. */
    void await(java.util.function.Predicate<FollowSessionResponse> until)
        throws InterruptedException {
      while (true) {
        Object event = events.poll(5, TimeUnit.MINUTES);
        assertNotNull(event, "no answer came");
        if (event instanceof StatusRuntimeException failure) {
          throw failure;
        }
        if (!(event instanceof FollowSessionResponse answer)) {
          return;
        }
        switch (answer.getResponseCase()) {
          case STARTED -> {
            session = answer.getStarted().getSessionId();
            nextFrame = answer.getStarted().getNextFrame();
          }
          case NOTE -> {
            told.add(answer.getNote());
            notes.put(answer.getNote().getNumber(), answer.getNote());
          }
          default -> missing = answer.getMissing().getCellsList();
        }
        if (until.test(answer)) {
          return;
        }
      }
    }

    void awaitStart() throws InterruptedException {
      await(FollowSessionResponse::hasStarted);
    }

    void end() throws InterruptedException {
      call.onCompleted();
      await(answer -> false);
    }

    @Override
    public void beforeStart(ClientCallStreamObserver<FollowSessionRequest> stream) {
      call = stream;
    }

    @Override
    public void onNext(FollowSessionResponse answer) {
      events.add(answer);
    }

    @Override
    public void onError(Throwable failure) {
      events.add(Status.fromThrowable(failure).asRuntimeException());
    }

    @Override
    public void onCompleted() {
      events.add("over");
    }
  }

  private static void assertTable(Client client) {
    List<NoteStatus> statuses = client.notes.values().stream().map(NoteHeard::getStatus).toList();
    assertEquals(
        List.of(
            NoteStatus.NOTE_STATUS_KEPT,
            NoteStatus.NOTE_STATUS_RETAKE,
            NoteStatus.NOTE_STATUS_KEPT,
            NoteStatus.NOTE_STATUS_KEPT,
            NoteStatus.NOTE_STATUS_KEPT),
        statuses);
    assertEquals(
        List.of("A4", "B4", "B4", "D5", "E5"),
        client.notes.values().stream().map(n -> n.getPitch().getNote()).toList());
    assertEquals(
        List.of(69, 71, 71, 74, 76),
        client.notes.values().stream().map(n -> n.getCell().getMidi()).toList());
    assertTrue(client.notes.values().stream().allMatch(NoteHeard::getSettled));
    assertEquals(List.of(72), client.missing.stream().map(Cell::getMidi).toList());
  }

  @Test
  void tellsEachNoteAsItEndsAndTheTableAtTheEnd() throws Exception {
    Client client = new Client(config());
    client.awaitStart();
    client.await(FollowSessionResponse::hasMissing);
    assertEquals(5, client.missing.size());
    client.send(0, TAKE.length);
    client.end();

    assertTable(client);
    for (int number = 1; number <= 5; number++) {
      int one = number;
      NoteHeard first =
          client.told.stream().filter(n -> n.getNumber() == one).findFirst().orElseThrow();
      // The cut's end lies 0.2 s after the sound's, so that what is told then is told in time.
      assertTrue(first.getHeardAtFrame() - first.getEndFrame() < 0.1 * RATE, first::toString);
    }
  }

  /** All of it is sent before anything is read, in pieces that end within samples. */
  @Test
  void audioThatComesBeforeTheFirstAnswerIsHeardHoweverItIsDivided() throws Exception {
    Client client = new Client(config());
    for (int at = 0; at < TAKE.length; at += 1279) {
      client.sendOne(ByteString.copyFrom(TAKE, at, Math.min(1279, TAKE.length - at)));
      client.sendOne(ByteString.EMPTY);
    }
    client.sendOne(ByteString.copyFrom(new byte[] {1}));
    client.end();
    assertTable(client);
  }

  @Test
  void aTakeInWhichNothingWasPlayedLacksAll() throws Exception {
    Client client = new Client(config());
    client.end();
    assertEquals(List.of(), client.told);
    assertEquals(5, client.missing.size());
    Client gone = new Client(config().setSessionId(client.session));
    assertEquals(
        Status.Code.NOT_FOUND,
        assertThrows(StatusRuntimeException.class, gone::awaitStart).getStatus().getCode());
  }

  @Test
  void aDroppedConnectionGoesOnWhereItWas() throws Exception {
    Client first = new Client(config());
    first.awaitStart();
    int cut = TAKE.length / 2;
    first.send(0, cut);
    first.await(answer -> answer.hasNote() && answer.getNote().getNumber() == 2);
    first.call.cancel("the cable was pulled", null);

    Client second = new Client(config().setSessionId(first.session));
    second.awaitStart();
    assertTrue(second.nextFrame > 0 && second.nextFrame <= cut / 2, "" + second.nextFrame);
    second.await(answer -> answer.hasNote() && answer.getNote().getNumber() == 2);
    second.send((int) (2 * second.nextFrame), TAKE.length);
    second.end();
    assertTable(second);

    // It is over, and gone.
    Client third = new Client(config().setSessionId(first.session));
    StatusRuntimeException gone = assertThrows(StatusRuntimeException.class, third::awaitStart);
    assertEquals(Status.Code.NOT_FOUND, gone.getStatus().getCode());
  }

  /** As Node's HTTP/2 does it: its side of the stream is closed, then the call is cancelled. */
  @Test
  void aCancelledCallOrAMissedDeadlineKeepsItsSession() throws Exception {
    for (int i = 0; i < 20; i++) {
      Client first = new Client(config());
      first.awaitStart();
      first.send(0, RATE);
      first.call.onCompleted();
      Thread.sleep(2);
      first.call.cancel("gave up", null);
      Client second = new Client(config().clearSheet().setSessionId(first.session));
      second.awaitStart();
      second.end();
    }
    Client late = new Client(config(), 1500);
    late.awaitStart();
    StatusRuntimeException over =
        assertThrows(StatusRuntimeException.class, () -> late.await(answer -> false));
    assertEquals(Status.Code.DEADLINE_EXCEEDED, over.getStatus().getCode());
    Client goesOn = new Client(config().clearSheet().setSessionId(late.session));
    goesOn.awaitStart();
    goesOn.end();
  }

  /** The service says which take it follows; whoever goes on may say it back. */
  @Test
  void theOnlyTakeOfASheetMayBeNamedAfterwards() throws Exception {
    String one = SHEET.substring(0, SHEET.indexOf("  - {file: other.wav"));
    Client first = new Client(config().setSheetText(one).clearTake());
    first.awaitStart();
    first.call.cancel("the cable was pulled", null);

    FollowSessionConfig.Builder goesOn = config().clearSheet().setSessionId(first.session);
    Client other = new Client(goesOn.clone().setTake("other.wav"));
    StatusRuntimeException refused = assertThrows(StatusRuntimeException.class, other::awaitStart);
    assertEquals(Status.Code.INVALID_ARGUMENT, refused.getStatus().getCode());
    assertTrue(refused.getMessage().contains("\"take.wav\""), refused.getMessage());
    Client second = new Client(goesOn.setTake("take.wav"));
    second.awaitStart();
    second.end();
  }

  @Test
  void aServiceThatStopsSaysSo() throws Exception {
    Client client = new Client(config());
    client.awaitStart();
    client.send(0, RATE);
    server.close();
    StatusRuntimeException stopped =
        assertThrows(StatusRuntimeException.class, () -> client.await(answer -> false));
    assertEquals(Status.Code.UNAVAILABLE, stopped.getStatus().getCode());
    assertTrue(stopped.getMessage().contains("stopping"), stopped.getMessage());
    server = TakewrightServer.startInProcess();
  }

  @Test
  void aSessionOutlastsItsServiceHoweverThatEnds(@TempDir Path folder) throws Exception {
    Path state = folder.resolve("state");
    String session;
    int cut = TAKE.length / 2;
    ServerProcess killed = service(folder);
    try {
      channel.shutdownNow();
      channel = killed.channel();
      Client client = new Client(config());
      client.awaitStart();
      client.send(0, cut);
      client.await(answer -> answer.hasNote() && answer.getNote().getNumber() == 2);
      session = client.session;
      assertEquals(
          "rw-------", PosixFilePermissions.toString(Files.getPosixFilePermissions(only(state))));
    } finally {
      killed.kill();
    }

    long known;
    ServerProcess stopped = service(folder);
    try {
      channel.shutdownNow();
      channel = stopped.channel();
      Client client = new Client(config().clearSheet().setSessionId(session));
      client.awaitStart();
      known = client.nextFrame;
      assertTrue(known > 0 && known <= cut / 2, "" + known);
      client.await(answer -> answer.hasNote() && answer.getNote().getNumber() == 2);
      client.send((int) (2 * known), 3 * cut / 2);
      client.await(answer -> answer.hasNote() && answer.getNote().getNumber() == 3);
      String begins = session.startsWith("0") ? "1" : "0";
      Client stranger = new Client(config().setSessionId(begins + session.substring(1)));
      StatusRuntimeException unknown =
          assertThrows(StatusRuntimeException.class, stranger::awaitStart);
      assertEquals(Status.Code.NOT_FOUND, unknown.getStatus().getCode());
    } finally {
      assertEquals(143, stopped.stop(), "ended by SIGTERM");
    }

    ServerProcess last = service(folder);
    try {
      channel.shutdownNow();
      channel = last.channel();
      Client client = new Client(config().clearSheet().setSessionId(session));
      client.awaitStart();
      assertTrue(client.nextFrame > known, client.nextFrame + " frames, before " + known);
      client.send((int) (2 * client.nextFrame), TAKE.length);
      client.end();
      assertTable(client);
      try (Stream<Path> left = Files.list(state.resolve("sessions"))) {
        assertEquals(0, left.count(), "a session that is over leaves nothing behind");
      }
    } finally {
      last.stop();
    }
  }

  private static ServerProcess service(Path folder) throws IOException {
    return ServerProcess.start(
        folder.resolve("token"), folder.resolve("log"), "--state=" + folder.resolve("state"));
  }

  private static Path only(Path state) throws IOException {
    try (Stream<Path> files = Files.list(state.resolve("sessions"))) {
      return files.findFirst().orElseThrow();
    }
  }

  @Test
  void whatWasHeardIsKeptToTheBitAndOldSessionsAreRemoved(@TempDir Path folder) throws Exception {
    float[][] block = {{0, 1, -1, 12345 / 32768f}, {-0.5f, 0.25f, 0x1p-15f, 0}};
    String id = "0123456789abcdef0123456789abcdef";
    for (PcmEncoding encoding :
        List.of(
            PcmEncoding.PCM_ENCODING_INT16,
            PcmEncoding.PCM_ENCODING_INT24,
            PcmEncoding.PCM_ENCODING_FLOAT32)) {
      SessionHeader header = new SessionHeader("sheet", SHEET, "take.wav", RATE, 2, encoding);
      float[][] whole =
          encoding == PcmEncoding.PCM_ENCODING_FLOAT32 ? block : new float[][] {block[1], block[1]};
      try (SessionStore store = new SessionStore(folder)) {
        store.begin(id, header).append(whole, 4);
      }
      // Half a frame that was cut off, and another that comes after it.
      Path file = folder.resolve(id + ".session");
      Files.write(file, new byte[] {1, 2, 3}, StandardOpenOption.APPEND);
      try (SessionStore store = new SessionStore(folder)) {
        KeptSession kept = store.find(id);
        assertEquals(header, kept.header());
        float[][] read = new float[2][9];
        assertEquals(4, kept.read(read));
        assertEquals(0, kept.read(read));
        assertArrayEquals(whole[0], Arrays.copyOf(read[0], 4));
        assertArrayEquals(whole[1], Arrays.copyOf(read[1], 4));
        kept.append(whole, 2);
      }
      try (SessionStore store = new SessionStore(folder);
          SessionStore other = new SessionStore(folder)) {
        KeptSession kept = store.find(id);
        assertEquals(6, kept.read(new float[2][9]));
        Calls.refused(Status.Code.ABORTED, () -> other.find(id), "another call or service");
      }
      Path decided = folder.resolve(id + ".decided");
      Files.writeString(decided, "{}");
      Files.setLastModifiedTime(
          file, FileTime.fromMillis(System.currentTimeMillis() - Sessions.KEPT_MS - 1000));
      try (SessionStore store = new SessionStore(folder)) {
        assertNull(store.find(id));
        assertNull(store.find("../" + id));
        assertFalse(Files.exists(file));
        assertFalse(Files.exists(decided));
      }
    }
  }

  /** As where the service has not noticed yet that the first connection is gone. */
  /** The take is worth more than what was touched on the board. */
  @Test
  void aSessionGoesOnWhereItsDecisionsAreLost(@TempDir Path folder) throws Exception {
    String id = "0123456789abcdef0123456789abcdef";
    PcmEncoding encoding = PcmEncoding.PCM_ENCODING_INT16;
    SessionHeader header = new SessionHeader("sheet", SHEET, "take.wav", RATE, 1, encoding);
    Decided decided = Decided.NOTHING.with(2, Verdict.KEEP).withSkipped(1, true);
    try (SessionStore store = new SessionStore(folder)) {
      store.begin(id, header).keep(decided);
    }
    try (SessionStore store = new SessionStore(folder)) {
      assertEquals(decided, store.find(id).decided());
    }
    Files.writeString(folder.resolve(id + ".decided"), "{\"notes\": {");
    try (SessionStore store = new SessionStore(folder)) {
      assertEquals(Decided.NOTHING, store.find(id).decided());
    }
  }

  @Test
  void anotherCallTakesASessionOverAndSendsSomeOfItAgain() throws Exception {
    Client first = new Client(config());
    first.awaitStart();
    int cut = TAKE.length / 2;
    first.send(0, cut);
    first.await(answer -> answer.hasNote() && answer.getNote().getNumber() == 2);

    int again = TAKE.length / 20 * 2;
    Client second = new Client(config().setSessionId(first.session).setFirstFrame(again / 2));
    second.awaitStart();
    second.send(again, TAKE.length);
    second.end();
    assertTable(second);
    StatusRuntimeException ended =
        assertThrows(StatusRuntimeException.class, () -> first.await(answer -> false));
    assertEquals(Status.Code.ABORTED, ended.getStatus().getCode());
  }

  @Test
  void refusesWhatItCannotFollow() {
    refused(config().setTake("nothing.wav"), Status.Code.INVALID_ARGUMENT, "take.wav, other.wav");
    refused(config().setTake(""), Status.Code.INVALID_ARGUMENT, "`config.take` is missing");
    refused(config().clearSheet(), Status.Code.INVALID_ARGUMENT, "sheet_file");
    refused(config().clearFormat(), Status.Code.INVALID_ARGUMENT, "config.format.encoding");
    refused(
        config().setSheetText("library: X\nnotes: 3"),
        Status.Code.INVALID_ARGUMENT,
        "`notes` is not a key");
    refused(config().setSheetText("{["), Status.Code.INVALID_ARGUMENT, "`config.sheet_text`: ");
    refused(config().setSessionId("beef"), Status.Code.NOT_FOUND, "session_id");
    refused(config().setFirstFrame(-1), Status.Code.INVALID_ARGUMENT, "first_frame");
    refused(config().setFirstFrame(1L << 60), Status.Code.INVALID_ARGUMENT, "first_frame");
  }

  /** What to do about an id is no new session where a call is about one that is there. */
  @Test
  void anUnknownSessionAndAnEmptyIdAreToldApart() {
    SessionServiceGrpc.SessionServiceBlockingStub stub =
        SessionServiceGrpc.newBlockingStub(channel);
    EndSessionRequest.Builder end = EndSessionRequest.newBuilder();
    OpenBoardRequest.Builder open = OpenBoardRequest.newBuilder();
    String give = "give the `session_id` of SessionStarted";
    Calls.refused(Status.Code.INVALID_ARGUMENT, () -> stub.endSession(end.build()), give);
    Calls.refused(Status.Code.INVALID_ARGUMENT, () -> stub.openBoard(open.build()), give);
    end.setSessionId("beef");
    open.setSessionId("beef");
    Calls.refused(Status.Code.NOT_FOUND, () -> stub.endSession(end.build()), give);
    Calls.refused(Status.Code.NOT_FOUND, () -> stub.openBoard(open.build()), give);
  }

  private void refused(FollowSessionConfig.Builder config, Status.Code code, String word) {
    Client client = new Client(config);
    StatusRuntimeException refused =
        assertThrows(StatusRuntimeException.class, () -> client.await(answer -> false));
    assertEquals(code, refused.getStatus().getCode(), refused.getMessage());
    assertTrue(refused.getStatus().getDescription().contains(word), refused.getMessage());
  }

  @Test
  void sessionsAreBoundedAndForgottenAfterHalfAnHour() throws Exception {
    AtomicLong clock = new AtomicLong();
    Sessions sessions = new Sessions(null, new Boards(), clock::get);
    Sheet sheet = SheetReader.read(java.nio.file.Path.of("sheet"), SHEET);
    List<Sessions.Session> all = new ArrayList<>();
    for (int i = 0; i < Limits.SESSIONS; i++) {
      all.add(begin(sessions, sheet));
    }
    Calls.refused(
        Status.Code.RESOURCE_EXHAUSTED, () -> begin(sessions, sheet), "16 sessions already");

    sessions.leave(all.get(3));
    clock.addAndGet(1);
    sessions.leave(all.get(5));
    begin(sessions, sheet); // instead of the one left first
    Calls.refused(
        Status.Code.NOT_FOUND,
        () -> sessions.resume(caller(), all.get(3).id()),
        "config.session_id");
    clock.addAndGet(Sessions.KEPT_MS);
    sessions.leave(sessions.resume(caller(), all.get(5).id()));
    clock.addAndGet(Sessions.KEPT_MS + 1);
    Calls.refused(
        Status.Code.NOT_FOUND, () -> sessions.resume(caller(), all.get(5).id()), "begin a new one");
    assertEquals(Limits.SESSIONS - 1, sessions.count());
  }

  /** A client hears of its own deadline before the service does. */
  @Test
  void aSessionEndsThatItsCallIsAboutToLeave() throws Exception {
    Sessions sessions =
        new Sessions(null, new Boards(), () -> TimeUnit.NANOSECONDS.toMillis(System.nanoTime()));
    Sheet sheet = SheetReader.read(java.nio.file.Path.of("sheet"), SHEET);
    Sessions.Session left = begin(sessions, sheet);
    Sessions.Session followed = begin(sessions, sheet);
    CompletableFuture<Void> leaving =
        CompletableFuture.runAsync(
            () -> sessions.leave(left),
            CompletableFuture.delayedExecutor(50, TimeUnit.MILLISECONDS));
    sessions.endWaiting(left.id());
    leaving.get(10, TimeUnit.SECONDS);
    assertEquals(1, sessions.count());
    Calls.refused(
        Status.Code.ABORTED, () -> sessions.endWaiting(followed.id()), "a call that has not ended");
  }

  private static Sessions.Session begin(Sessions sessions, Sheet sheet) throws IOException {
    return sessions.begin(
        caller(),
        new SessionHeader("sheet", SHEET, "take.wav", RATE, 1, PcmEncoding.PCM_ENCODING_INT16),
        () -> {
          Take take = sheet.takes().get(0);
          return new Followed(sheet, take, new Follow(sheet, take, RATE, 1));
        });
  }

  private static CallAudio caller() {
    return CallAudio.of((java.nio.file.Path) null, () -> false);
  }
}
