package takewright.examples;

import com.google.protobuf.ByteString;
import io.grpc.ManagedChannel;
import io.grpc.Metadata;
import io.grpc.Status;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.stub.ClientCallStreamObserver;
import io.grpc.stub.ClientResponseObserver;
import io.grpc.stub.MetadataUtils;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Iterator;
import java.util.List;
import java.util.Locale;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionException;
import java.util.concurrent.TimeUnit;
import java.util.function.Consumer;
import java.util.stream.Collectors;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.AudioInput;
import takewright.v1.Cell;
import takewright.v1.FollowSessionConfig;
import takewright.v1.FollowSessionRequest;
import takewright.v1.FollowSessionResponse;
import takewright.v1.NoteHeard;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;
import takewright.v1.Region;
import takewright.v1.RegionStatus;
import takewright.v1.SampleFacts;
import takewright.v1.SegmentConfig;
import takewright.v1.SegmentRequest;
import takewright.v1.SegmentResponse;
import takewright.v1.SessionServiceGrpc;

/** A small client of the Takewright service, to copy from; prints fields separated by tabs. */
public final class Client {
  private static final String USAGE =
      "usage: Client segment FILE | analyse FILE... | follow SHEET --pcm int24,48000,2"
          + " [--take NAME] [--server HOST:PORT] [--token-file FILE]";

  private static final Metadata.Key<String> AUTHORIZATION =
      Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER);

  private String server = "127.0.0.1:7171";
  private Path tokenFile;
  private String pcm = "";
  private String take = "";
  private final List<String> words = new ArrayList<>();
  private ManagedChannel channel;
  private Metadata headers;

  private Client(String[] args) {
    for (Iterator<String> rest = List.of(args).iterator(); rest.hasNext(); ) {
      String word = rest.next();
      if (word.startsWith("--") && !rest.hasNext()) {
        throw new IllegalArgumentException(USAGE);
      }
      switch (word) {
        case "--server" -> server = rest.next();
        case "--token-file" -> tokenFile = Path.of(rest.next());
        case "--pcm" -> pcm = rest.next();
        case "--take" -> take = rest.next();
        default -> words.add(word);
      }
    }
    if (words.size() < 2 || words.size() > 2 && !words.get(0).equals("analyse")) {
      throw new IllegalArgumentException(USAGE);
    }
    if (tokenFile == null) {
      String port = server.substring(server.lastIndexOf(':') + 1);
      // The variable first: scripts in other languages take it for the home folder.
      String home = System.getenv().getOrDefault("HOME", System.getProperty("user.home"));
      tokenFile = Path.of(home, ".takewright", "token-" + port);
    }
  }

  public static void main(String[] args) throws InterruptedException {
    int status = 2;
    Client client = null;
    try {
      client = new Client(args);
      client.run();
      status = 0;
    } catch (CompletionException e) {
      System.err.println("takewright: " + explain(client.server, e.getCause()));
    } catch (IOException e) {
      System.err.println("takewright: cannot be read: " + e.getMessage());
    } catch (IllegalArgumentException e) {
      System.err.println("takewright: " + e.getMessage());
    } finally {
      if (client != null && client.channel != null) {
        client.channel.shutdownNow().awaitTermination(1, TimeUnit.SECONDS);
      }
    }
    System.exit(status);
  }

  private void run() throws IOException {
    headers = new Metadata();
    headers.put(AUTHORIZATION, "Bearer " + Files.readString(tokenFile).strip());
    channel =
        NettyChannelBuilder.forTarget(server)
            .usePlaintext()
            // A proxy of the environment is for other machines, not for a service on this one.
            .proxyDetector(address -> null)
            .intercept(MetadataUtils.newAttachHeadersInterceptor(headers))
            .build();
    switch (words.get(0)) {
      case "segment" -> segment(Path.of(words.get(1)));
      case "analyse" -> analyse(words.subList(1, words.size()));
      case "follow" -> follow(Path.of(words.get(1)));
      default -> throw new IllegalArgumentException(USAGE);
    }
  }

  /** The service has another working directory, so it needs the absolute path. */
  private static AudioInput input(Path file) throws IOException {
    return AudioInput.newBuilder().setFile(file.toRealPath().toString()).build();
  }

  /** Prints one line per region of a take. */
  private void segment(Path file) throws IOException {
    List<Region> regions = new ArrayList<>();
    int[] rate = new int[1];
    Answers<SegmentRequest, SegmentResponse> call =
        new Answers<>(
            answer -> {
              if (answer.hasRegion()) {
                regions.add(answer.getRegion());
              } else if (answer.hasSummary()) {
                rate[0] = answer.getSummary().getSampleRateHz();
              }
            });
    SegmentConfig config = SegmentConfig.newBuilder().setInput(input(file)).build();
    OperationsServiceGrpc.newStub(channel).segment(call);
    call.send(SegmentRequest.newBuilder().setConfig(config).build());
    call.finish();
    line("start_s", "onset_s", "end_s", "note");
    for (Region region : regions) {
      if (region.getStatus() == RegionStatus.REGION_STATUS_KEPT) {
        line(
            seconds(region.getStartFrame(), rate[0]),
            seconds(region.getOnsetFrame(), rate[0]),
            seconds(region.getEndFrame(), rate[0]),
            region.getPitch().getNote());
      }
    }
  }

  /** Prints one line per sample. */
  private void analyse(List<String> files) throws IOException {
    line("file", "note", "cents", "level_lufs");
    for (String file : files) {
      Answers<AnalyseRequest, AnalyseResponse> call =
          new Answers<>(answer -> print(file, answer.getFacts()));
      AnalyseConfig config = AnalyseConfig.newBuilder().setInput(input(Path.of(file))).build();
      OperationsServiceGrpc.newStub(channel)
          // So that a script never waits forever.
          .withDeadlineAfter(60, TimeUnit.SECONDS)
          .analyse(call);
      call.send(AnalyseRequest.newBuilder().setConfig(config).build());
      call.finish();
    }
  }

  private static void print(String file, SampleFacts facts) {
    line(
        file,
        facts.getPitch().getNote(),
        facts.hasPitch() ? text("%.1f", facts.getPitch().getCents()) : "",
        facts.hasLevelLufs() ? text("%.1f", facts.getLevelLufs()) : "");
  }

  /** Prints one line per note during the session; a later line with its number replaces it. */
  private void follow(Path sheet) throws IOException {
    PcmFormat format = format(pcm);
    int rate = format.getSampleRateHz();
    FollowSessionConfig config =
        FollowSessionConfig.newBuilder()
            .setSheetText(Files.readString(sheet))
            .setTake(take)
            .setFormat(format)
            .build();
    Answers<FollowSessionRequest, FollowSessionResponse> call =
        new Answers<>(answer -> print(answer, rate));
    SessionServiceGrpc.newStub(channel).followSession(call);
    call.send(FollowSessionRequest.newBuilder().setConfig(config).build());
    byte[] piece = new byte[256 * 1024]; // the service accepts up to 1 MiB
    // What has arrived by now.
    for (int n; (n = System.in.read(piece)) >= 0; ) {
      ByteString audio = ByteString.copyFrom(piece, 0, n);
      call.send(FollowSessionRequest.newBuilder().setAudio(audio).build());
    }
    call.finish();
  }

  private static PcmFormat format(String pcm) {
    try {
      String[] parts = pcm.split(",");
      return PcmFormat.newBuilder()
          .setEncoding(PcmEncoding.valueOf("PCM_ENCODING_" + parts[0].toUpperCase(Locale.ROOT)))
          .setSampleRateHz(Integer.parseInt(parts[1]))
          .setChannels(Integer.parseInt(parts[2]))
          .build();
    } catch (IllegalArgumentException | ArrayIndexOutOfBoundsException e) {
      throw new IllegalArgumentException("follow needs --pcm, for instance --pcm int24,48000,2", e);
    }
  }

  private static void print(FollowSessionResponse answer, int rate) {
    if (answer.hasNote()) {
      NoteHeard note = answer.getNote();
      line(
          "note",
          String.valueOf(note.getNumber()),
          seconds(note.getOnsetFrame(), rate),
          seconds(note.getEndFrame(), rate),
          note.getPitch().getNote(),
          note.hasPitch() ? text("%.1f", note.getPitch().getCents()) : "",
          note.getStatus().name().replace("NOTE_STATUS_", "").toLowerCase(Locale.ROOT),
          note.hasCell() ? name(note.getCell()) : "",
          note.getFlagsList().stream()
              .map(flag -> flag.name().replace("FLAG_", "").toLowerCase(Locale.ROOT))
              .collect(Collectors.joining(" ")));
    } else if (answer.hasMissing()) {
      List<Cell> cells = answer.getMissing().getCellsList();
      String names = cells.stream().map(Client::name).collect(Collectors.joining(", "));
      line("missing", String.valueOf(cells.size()), names);
    }
  }

  private static String name(Cell cell) {
    String note = cell.hasMidi() ? cell.getMidi() + " " : "";
    return note + (cell.getDynamic() + " rr" + cell.getRr()).strip();
  }

  private static String seconds(long frame, int rate) {
    return text("%.6f", (double) frame / rate);
  }

  private static String text(String format, double value) {
    return String.format(Locale.ROOT, format, value);
  }

  private static void line(String... fields) {
    System.out.println(String.join("\t", fields));
  }

  /** A call: hands the responses on, and sends no faster than the service receives. */
  private static final class Answers<Q, A> implements ClientResponseObserver<Q, A> {
    private final Consumer<A> taker;
    private final CompletableFuture<Void> over = new CompletableFuture<>();
    private ClientCallStreamObserver<Q> call;

    Answers(Consumer<A> taker) {
      this.taker = taker;
    }

    @Override
    public void beforeStart(ClientCallStreamObserver<Q> started) {
      call = started;
      call.setOnReadyHandler(this::wake);
    }

    private synchronized void wake() {
      notifyAll();
    }

    synchronized void send(Q request) {
      try {
        while (!call.isReady() && !over.isDone()) {
          wait();
        }
      } catch (InterruptedException e) {
        throw new CompletionException(e);
      }
      if (over.isDone()) {
        over.join();
      }
      call.onNext(request);
    }

    /** Closes the sending side and waits for the last response. */
    void finish() {
      call.onCompleted();
      over.join();
    }

    @Override
    public void onNext(A answer) {
      taker.accept(answer);
    }

    @Override
    public void onError(Throwable problem) {
      over.completeExceptionally(problem);
      wake();
    }

    @Override
    public void onCompleted() {
      over.complete(null);
      wake();
    }
  }

  private static String explain(String server, Throwable problem) {
    Status status = Status.fromThrowable(problem);
    return switch (status.getCode()) {
      case UNAVAILABLE ->
          "no service answers at " + server + "; start one with ./takewright serve --allow FOLDER";
      default -> status.getCode() + ": " + status.getDescription();
    };
  }
}
