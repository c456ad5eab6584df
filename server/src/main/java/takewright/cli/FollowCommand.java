package takewright.cli;

import com.google.protobuf.ByteString;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.stub.ClientCallStreamObserver;
import io.grpc.stub.ClientResponseObserver;
import java.io.IOException;
import java.io.InputStream;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.concurrent.Callable;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionException;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.ParentCommand;
import takewright.audio.AudioFile;
import takewright.v1.Cell;
import takewright.v1.FollowSessionConfig;
import takewright.v1.FollowSessionRequest;
import takewright.v1.FollowSessionResponse;
import takewright.v1.NoteHeard;
import takewright.v1.NoteStatus;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;
import takewright.v1.SessionServiceGrpc;

@Command(
    name = "follow",
    mixinStandardHelpOptions = true,
    description =
        "Listens along while a take is recorded, and says what was played and what is missing.")
final class FollowCommand implements Callable<Integer> {
  private static final Pattern PCM =
      Pattern.compile(
          "(?<encoding>int16|int24|int32|float32),(?<rate>\\d{1,6}),(?<channels>\\d{1,2})");

  /** Pieces a second of audio: 40 ms each, so that little is heard late. */
  private static final int PIECES = 25;

  @ParentCommand private Main main;
  @Mixin private Connection connection;

  @Parameters(index = "0", paramLabel = "SHEET", description = "The sheet (YAML).")
  private Path sheet;

  @Parameters(
      index = "1",
      arity = "0..1",
      paramLabel = "FILE",
      description = "A take to play through. Default: raw audio from standard input, see --pcm.")
  private Path file;

  @Option(
      names = "--take",
      paramLabel = "NAME",
      description = "The take of the sheet, by its file name there. Default: the only one.")
  private String take = "";

  @Option(
      names = "--pcm",
      paramLabel = "ENCODING,RATE,CHANNELS",
      description =
          "What standard input brings: int16, int24, int32 or float32, little-endian; for instance"
              + " int24,48000,2.")
  private String pcm;

  @Option(
      names = "--speed",
      paramLabel = "N",
      defaultValue = "0",
      description = "Plays FILE so many times as fast as it is. Default: as fast as can be.")
  private double speed;

  @Option(
      names = "--strict",
      description = "Exit with status 1 where cells are missing in the end.")
  private boolean strict;

  private double rate;
  private volatile int missing;

  @Override
  public Integer call() throws IOException {
    if ((file == null) == (pcm == null)) {
      throw new IllegalArgumentException(
          "give either FILE or --pcm, for raw audio from standard input");
    }
    try (AudioFile audio = file == null ? null : AudioFile.open(file);
        Connection.Session session = connection.open()) {
      PcmFormat format = format(audio);
      rate = format.getSampleRateHz();
      Call call = new Call();
      SessionServiceGrpc.newStub(session.channel()).followSession(call);
      call.send(
          FollowSessionRequest.newBuilder()
              .setConfig(
                  FollowSessionConfig.newBuilder()
                      .setSheetFile(LocalFiles.absolute(sheet))
                      .setTake(take)
                      .setFormat(format))
              .build());
      if (audio == null) {
        sendInput(call, format);
      } else {
        sendFile(call, audio);
      }
      call.finish();
    }
    return strict && missing > 0 ? Main.NEEDS_A_LOOK : Main.DONE;
  }

  private PcmFormat format(AudioFile audio) {
    if (audio != null) {
      return PcmFormat.newBuilder()
          .setEncoding(PcmEncoding.PCM_ENCODING_FLOAT32)
          .setSampleRateHz(audio.sampleRate())
          .setChannels(audio.channels())
          .build();
    }
    Matcher words = PCM.matcher(pcm);
    if (!words.matches()) {
      throw new IllegalArgumentException("--pcm must be like int24,48000,2, not " + pcm);
    }
    String encoding = "PCM_ENCODING_" + words.group("encoding").toUpperCase(Locale.ROOT);
    return PcmFormat.newBuilder()
        .setEncoding(PcmEncoding.valueOf(encoding))
        .setSampleRateHz(Integer.parseInt(words.group("rate")))
        .setChannels(Integer.parseInt(words.group("channels")))
        .build();
  }

  private void sendFile(Call call, AudioFile audio) throws IOException {
    int piece = audio.sampleRate() / PIECES;
    float[][] block = new float[audio.channels()][piece];
    ByteBuffer bytes =
        ByteBuffer.allocate(4 * piece * audio.channels()).order(ByteOrder.LITTLE_ENDIAN);
    long began = System.nanoTime();
    long sent = 0;
    for (int n; (n = audio.read(block, 0, piece)) >= 0; ) {
      bytes.clear();
      for (int i = 0; i < n; i++) {
        for (float[] channel : block) {
          bytes.putFloat(channel[i]);
        }
      }
      sent += n;
      if (speed > 0) {
        sleepUntil(began + (long) (1e9 * sent / rate / speed));
      }
      call.send(audio(bytes.array(), bytes.position()));
    }
  }

  private static void sendInput(Call call, PcmFormat format) throws IOException {
    byte[] piece =
        new byte[Math.max(64, 4 * format.getChannels() * format.getSampleRateHz() / PIECES)];
    InputStream in = System.in;
    for (int n; (n = in.read(piece)) >= 0; ) {
      call.send(audio(piece, n));
    }
  }

  private static FollowSessionRequest audio(byte[] bytes, int count) {
    return FollowSessionRequest.newBuilder().setAudio(ByteString.copyFrom(bytes, 0, count)).build();
  }

  private static void sleepUntil(long nanos) {
    long left = nanos - System.nanoTime();
    if (left > 0) {
      try {
        Thread.sleep(left / 1_000_000, (int) (left % 1_000_000));
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
        throw Status.CANCELLED.withDescription("interrupted").asRuntimeException();
      }
    }
  }

  /** A line a note, for a person: what it was, and what is still missing. */
  private void print(NoteHeard note) {
    String status =
        note.getStatus().name().substring("NOTE_STATUS_".length()).toLowerCase(Locale.ROOT);
    main.out.printf(
        Locale.ROOT,
        "%3d  %8.2f s  %-5s %6s  %6.1f dBFS  %-10s %s%s%n",
        note.getNumber(),
        note.getOnsetFrame() / rate,
        note.hasPitch() ? note.getPitch().getNote() : "-",
        note.hasPitch() ? String.format(Locale.ROOT, "%+.1f", note.getPitch().getCents()) : "",
        note.getLevelDbfs(),
        status,
        note.hasCell() ? cell(note.getCell()) : "",
        note.getFlagsCount() == 0 ? "" : "  [" + Texts.flags(note.getFlagsList()) + "]");
  }

  private static String cell(Cell cell) {
    return (cell.hasMidi() ? "note " + cell.getMidi() + " " : "")
        + cell.getDynamic()
        + " rr"
        + cell.getRr();
  }

  private void print(List<Cell> cells) {
    missing = cells.size();
    String some = String.join(", ", cells.stream().limit(8).map(FollowCommand::cell).toList());
    main.out.println(
        cells.isEmpty()
            ? "     nothing is missing"
            : "     missing " + cells.size() + ": " + some + (cells.size() > 8 ? ", ..." : ""));
  }

  /** The call: sends no faster than the service listens. */
  private final class Call
      implements ClientResponseObserver<FollowSessionRequest, FollowSessionResponse> {
    private final CompletableFuture<Void> over = new CompletableFuture<>();
    private final Object ready = new Object();
    private ClientCallStreamObserver<FollowSessionRequest> stream;

    @Override
    public void beforeStart(ClientCallStreamObserver<FollowSessionRequest> call) {
      stream = call;
      call.setOnReadyHandler(this::wake);
    }

    private void wake() {
      synchronized (ready) {
        ready.notifyAll();
      }
    }

    void send(FollowSessionRequest request) {
      synchronized (ready) {
        while (!stream.isReady() && !over.isDone()) {
          try {
            ready.wait();
          } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            throw Status.CANCELLED.withDescription("interrupted").asRuntimeException();
          }
        }
      }
      if (over.isDone()) {
        finish();
      }
      stream.onNext(request);
    }

    void finish() {
      if (!over.isDone()) {
        stream.onCompleted();
      }
      try {
        over.join();
      } catch (CompletionException e) {
        if (e.getCause() instanceof StatusRuntimeException failure) {
          throw failure;
        }
        throw Status.fromThrowable(e.getCause()).asRuntimeException();
      }
    }

    @Override
    public void onNext(FollowSessionResponse answer) {
      if (answer.hasNote() && !isNoNews(answer.getNote())) {
        print(answer.getNote());
      } else if (answer.hasMissing()) {
        print(answer.getMissing().getCellsList());
      }
    }

    /** Most notes turn out as they were told; that they are settled is nothing to read. */
    private boolean isNoNews(NoteHeard note) {
      NoteHeard before = told.put(note.getNumber(), note);
      return before != null
              && before.getStatus() == note.getStatus()
              && before.getCell().equals(note.getCell())
              && before.getFlagsList().equals(note.getFlagsList())
              && before.getPitch().getMidi() == note.getPitch().getMidi()
          || before == null && note.getStatus() == NoteStatus.NOTE_STATUS_WITHDRAWN;
    }

    private final java.util.Map<Integer, NoteHeard> told = new java.util.HashMap<>();

    @Override
    public void onError(Throwable failure) {
      over.completeExceptionally(failure);
      wake();
    }

    @Override
    public void onCompleted() {
      over.complete(null);
      wake();
    }
  }
}
