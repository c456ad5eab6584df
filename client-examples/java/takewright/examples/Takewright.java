package takewright.examples;

import com.google.protobuf.ByteString;
import io.grpc.ManagedChannel;
import io.grpc.Metadata;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.netty.shaded.io.grpc.netty.GrpcSslContexts;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.stub.AbstractStub;
import io.grpc.stub.MetadataUtils;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Iterator;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.function.Function;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.AudioInput;
import takewright.v1.AudioOutput;
import takewright.v1.DenoiseConfig;
import takewright.v1.DenoiseReport;
import takewright.v1.DenoiseRequest;
import takewright.v1.DenoiseResponse;
import takewright.v1.FormatNameRequest;
import takewright.v1.GetServerInfoRequest;
import takewright.v1.GetServerInfoResponse;
import takewright.v1.LayerConfig;
import takewright.v1.LayerReport;
import takewright.v1.LayerRequest;
import takewright.v1.LayerResponse;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.NameFacts;
import takewright.v1.NamingServiceGrpc;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.ParseNameRequest;
import takewright.v1.PcmFormat;
import takewright.v1.Region;
import takewright.v1.ResumeBuildRequest;
import takewright.v1.RetuneConfig;
import takewright.v1.RetuneReport;
import takewright.v1.RetuneRequest;
import takewright.v1.RetuneResponse;
import takewright.v1.SampleFacts;
import takewright.v1.SegmentConfig;
import takewright.v1.SegmentRequest;
import takewright.v1.SegmentResponse;
import takewright.v1.ServerServiceGrpc;
import takewright.v1.SessionServiceGrpc;
import takewright.v1.StartBuildRequest;
import takewright.v1.WatchBuildRequest;
import takewright.v1.WatchBuildResponse;

/**
 * A connection to a Takewright service: each operation on a file that the service reads, or on
 * audio of this program. What the service refuses is a {@link StatusRuntimeException}, whose
 * description says what to do.
 */
final class Takewright implements AutoCloseable {
  private static final Metadata.Key<String> AUTHORIZATION =
      Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER);

  private final String server;
  private final Path tokenFile;
  private final long timeoutMs;
  private final boolean streams;
  private final ManagedChannel channel;

  /**
   * Connects.
   *
   * @param server host and port
   * @param tokenFile the file with the service's token; null: the one that a service of this user
   *     writes
   * @param tlsCa the certificate of the CA of a service on another machine (PEM); null if none is
   *     needed
   * @param timeoutS how long a call may take, in seconds
   * @param streams whether this program reads and writes the files and sends the audio, and not the
   *     service
   */
  Takewright(String server, Path tokenFile, Path tlsCa, double timeoutS, boolean streams) {
    this.server = server;
    this.tokenFile = tokenFile != null ? tokenFile : tokenFileOf(server);
    this.timeoutMs = (long) (1000 * timeoutS);
    this.streams = streams;
    headers(); // says at once where the token cannot be read
    NettyChannelBuilder builder = NettyChannelBuilder.forTarget(server);
    if (tlsCa == null) {
      builder.usePlaintext();
    } else {
      try {
        builder.sslContext(GrpcSslContexts.forClient().trustManager(tlsCa.toFile()).build());
      } catch (IOException | IllegalArgumentException e) {
        throw new Problem(tlsCa + " cannot be read; give the CA's certificate (PEM)", e);
      }
    }
    if (isLoopback(server)) {
      // A proxy of the environment is for other machines, not for a service on this one.
      builder.proxyDetector(address -> null);
    }
    channel = builder.build();
  }

  private static boolean isLoopback(String server) {
    String host = server.substring(0, Math.max(0, server.lastIndexOf(':')));
    return host.equals("localhost") || host.equals("[::1]") || host.startsWith("127.");
  }

  private static Path tokenFileOf(String server) {
    String port = server.substring(server.lastIndexOf(':') + 1);
    // The variable first: scripts in other languages take it for the home folder.
    String home = System.getenv().getOrDefault("HOME", System.getProperty("user.home"));
    return Path.of(home, ".takewright", "token-" + port);
  }

  String server() {
    return server;
  }

  /** The token, read anew, since a service that starts again has another. */
  private Metadata headers() {
    Metadata headers = new Metadata();
    try {
      headers.put(AUTHORIZATION, "Bearer " + Files.readString(tokenFile).strip());
    } catch (IOException e) {
      throw new Problem(
          tokenFile + " cannot be read; ./takewright serve writes it as it starts and names it", e);
    }
    return headers;
  }

  private <S extends AbstractStub<S>> S ready(S stub) {
    return stub.withInterceptors(MetadataUtils.newAttachHeadersInterceptor(headers()));
  }

  private <S extends AbstractStub<S>> S timed(S stub) {
    return ready(stub).withDeadlineAfter(timeoutMs, TimeUnit.MILLISECONDS);
  }

  /** The calls of a session, which have no deadline. */
  SessionServiceGrpc.SessionServiceStub sessions() {
    return ready(SessionServiceGrpc.newStub(channel));
  }

  /** Regions of a take, and its sample rate in hertz. */
  record Regions(List<Region> regions, int sampleRateHz) {}

  Regions segment(Path take, SegmentConfig settings) throws IOException {
    List<Region> regions = new ArrayList<>();
    int[] rate = new int[1];
    Call<SegmentRequest, SegmentResponse> call =
        new Call<>(
            response -> {
              if (response.hasRegion()) {
                regions.add(response.getRegion());
              } else if (response.hasInput()) {
                rate[0] = response.getInput().getSampleRateHz();
              }
            });
    timed(OperationsServiceGrpc.newStub(channel)).segment(call);
    SegmentConfig config = settings.toBuilder().setInput(input(take)).build();
    call.send(SegmentRequest.newBuilder().setConfig(config).build());
    sendAudio(take, call, audio -> SegmentRequest.newBuilder().setAudio(audio).build());
    return new Regions(regions, rate[0]);
  }

  SampleFacts analyse(Path sample, AnalyseConfig settings) throws IOException {
    SampleFacts[] facts = {SampleFacts.getDefaultInstance()};
    Call<AnalyseRequest, AnalyseResponse> call =
        new Call<>(response -> facts[0] = response.hasFacts() ? response.getFacts() : facts[0]);
    timed(OperationsServiceGrpc.newStub(channel)).analyse(call);
    AnalyseConfig config = settings.toBuilder().setInput(input(sample)).build();
    call.send(AnalyseRequest.newBuilder().setConfig(config).build());
    sendAudio(sample, call, audio -> AnalyseRequest.newBuilder().setAudio(audio).build());
    return facts[0];
  }

  DenoiseReport denoise(Path in, Path out, DenoiseConfig settings) throws IOException {
    try (Result<DenoiseReport> result = new Result<>(out)) {
      Call<DenoiseRequest, DenoiseResponse> call =
          new Call<>(
              response -> {
                switch (response.getResponseCase()) {
                  case FORMAT -> result.format = response.getFormat();
                  case AUDIO -> result.append(response.getAudio());
                  case REPORT -> result.report = response.getReport();
                  default -> {}
                }
              });
      timed(OperationsServiceGrpc.newStub(channel)).denoise(call);
      DenoiseConfig config =
          settings.toBuilder().setInput(input(in)).setOutput(output(in, out)).build();
      call.send(DenoiseRequest.newBuilder().setConfig(config).build());
      sendAudio(in, call, audio -> DenoiseRequest.newBuilder().setAudio(audio).build());
      return result.finish();
    }
  }

  RetuneReport retune(Path in, Path out, RetuneConfig settings) throws IOException {
    try (Result<RetuneReport> result = new Result<>(out)) {
      Call<RetuneRequest, RetuneResponse> call =
          new Call<>(
              response -> {
                switch (response.getResponseCase()) {
                  case FORMAT -> result.format = response.getFormat();
                  case AUDIO -> result.append(response.getAudio());
                  case REPORT -> result.report = response.getReport();
                  default -> {}
                }
              });
      timed(OperationsServiceGrpc.newStub(channel)).retune(call);
      RetuneConfig config =
          settings.toBuilder().setInput(input(in)).setOutput(output(in, out)).build();
      call.send(RetuneRequest.newBuilder().setConfig(config).build());
      sendAudio(in, call, audio -> RetuneRequest.newBuilder().setAudio(audio).build());
      return result.finish();
    }
  }

  LayerReport layer(Path in, Path out, LayerConfig settings) throws IOException {
    try (Result<LayerReport> result = new Result<>(out)) {
      Call<LayerRequest, LayerResponse> call =
          new Call<>(
              response -> {
                switch (response.getResponseCase()) {
                  case FORMAT -> result.format = response.getFormat();
                  case AUDIO -> result.append(response.getAudio());
                  case REPORT -> result.report = response.getReport();
                  default -> {}
                }
              });
      timed(OperationsServiceGrpc.newStub(channel)).layer(call);
      LayerConfig config =
          settings.toBuilder().setInput(input(in)).setOutput(output(in, out)).build();
      call.send(LayerRequest.newBuilder().setConfig(config).build());
      sendAudio(in, call, audio -> LayerRequest.newBuilder().setAudio(audio).build());
      return result.finish();
    }
  }

  /** The version, limits, formats and granted folders of the service. */
  GetServerInfoResponse info() {
    return timed(ServerServiceGrpc.newBlockingStub(channel))
        .getServerInfo(GetServerInfoRequest.getDefaultInstance());
  }

  /** Starts a build, which goes on without its caller; its id. */
  String startBuild(Path sheet, Path outputFolder) {
    StartBuildRequest request =
        StartBuildRequest.newBuilder()
            .setSheetFile(sheet.toAbsolutePath().toString())
            .setOutputFolder(outputFolder.toAbsolutePath().toString())
            .build();
    return timed(LibraryServiceGrpc.newBlockingStub(channel))
        .startBuild(request)
        .getBuild()
        .getBuildId();
  }

  /** Continues a build that was cancelled, failed or was cut off by its service's end; its id. */
  String resumeBuild(String id) {
    return timed(LibraryServiceGrpc.newBlockingStub(channel))
        .resumeBuild(ResumeBuildRequest.newBuilder().setBuildId(id).build())
        .getBuild()
        .getBuildId();
  }

  /**
   * The progress of a build, then its result once its pictures are there too; without a deadline.
   */
  Iterator<WatchBuildResponse> watchBuild(String id) {
    return ready(LibraryServiceGrpc.newBlockingStub(channel))
        .watchBuild(WatchBuildRequest.newBuilder().setBuildId(id).setWithPictures(true).build());
  }

  String formatName(NameFacts facts) {
    return timed(NamingServiceGrpc.newBlockingStub(channel))
        .formatName(FormatNameRequest.newBuilder().setFacts(facts).build())
        .getName();
  }

  NameFacts parseName(String name) {
    return timed(NamingServiceGrpc.newBlockingStub(channel))
        .parseName(ParseNameRequest.newBuilder().setName(name).build())
        .getFacts();
  }

  /** The service has another working directory, so it needs the absolute path. */
  private AudioInput input(Path file) throws IOException {
    return streams
        ? AudioInput.newBuilder().setPcm(Sound.format(file)).build()
        : AudioInput.newBuilder().setFile(file.toRealPath().toString()).build();
  }

  private AudioOutput output(Path in, Path out) throws IOException {
    return streams
        ? AudioOutput.newBuilder().setPcm(Sound.format(in).getEncoding()).build()
        : AudioOutput.newBuilder().setFile(out.toAbsolutePath().toString()).build();
  }

  private <Q> void sendAudio(Path file, Call<Q, ?> call, Function<ByteString, Q> request)
      throws IOException {
    if (streams) {
      Sound.read(file, piece -> call.send(request.apply(piece)));
    }
    call.finish();
  }

  /** The sound and the report of a call; the sound waits in a file of its own until it is whole. */
  private final class Result<R> implements AutoCloseable {
    private final Path out;
    private Path raw;
    private OutputStream stream;
    private PcmFormat format;
    private R report;

    Result(Path out) throws IOException {
      this.out = out;
      if (streams) {
        Sound.requireNew(out);
        raw = Files.createTempFile("takewright", ".raw");
        stream = Files.newOutputStream(raw);
      }
    }

    void append(ByteString audio) {
      try {
        audio.writeTo(stream);
      } catch (IOException e) {
        throw new Problem(raw + " cannot be written: " + e.getMessage(), e);
      }
    }

    R finish() throws IOException {
      if (streams) {
        stream.close();
        Sound.write(raw, format, out);
      }
      return report;
    }

    @Override
    public void close() throws IOException {
      if (streams) {
        stream.close();
        Files.deleteIfExists(raw);
      }
    }
  }

  @Override
  public void close() {
    try {
      channel.shutdownNow().awaitTermination(1, TimeUnit.SECONDS);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  /** Why there is no connection: the exceptions behind the status tell it in words only. */
  private static String withoutConnection(String server, Status status) {
    StringBuilder all = new StringBuilder(String.valueOf(status.getDescription()));
    for (Throwable at = status.getCause(); at != null; at = at.getCause()) {
      all.append(' ').append(at);
    }
    String said = all.toString().toLowerCase(java.util.Locale.ROOT);
    if (said.contains("stopping")) {
      return status.getDescription();
    }
    if (said.contains("not an ssl/tls record")) {
      return "the service at " + server + " does not use TLS; leave --tls-ca out";
    }
    if (said.contains("certification path") || said.contains("path does not chain")) {
      return "the certificate of "
          + server
          + " is not signed by the CA that --tls-ca names; name the right one";
    }
    if (said.contains("closed") || said.contains("reset") || said.contains("certificate")) {
      return server
          + " closed the connection; if the service uses TLS, name its CA with --tls-ca; if it"
          + " wants clients to have a certificate, use ./takewright with --tls-cert and --tls-key";
    }
    return "no service answers at " + server + "; start one with ./takewright serve --allow FOLDER";
  }

  /** Why a call failed, in one line that says what to do. */
  static String explain(String server, Status status) {
    String line = status.getCode() + ": " + status.getDescription();
    return switch (status.getCode()) {
      case UNAVAILABLE -> withoutConnection(server, status);
      case DEADLINE_EXCEEDED -> line + "; --timeout gives a call more seconds";
      case PERMISSION_DENIED -> line + ", or send the audio with --stream";
      default -> line;
    };
  }
}
