package takewright.examples;

import io.grpc.ManagedChannel;
import io.grpc.Metadata;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.stub.MetadataUtils;
import io.grpc.stub.StreamObserver;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Locale;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionException;
import java.util.concurrent.TimeUnit;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.AudioInput;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.OperationsServiceGrpc.OperationsServiceStub;
import takewright.v1.SampleFacts;

/** Asks a running service what is heard in one sample. A small client, to copy from. */
public final class AnalyseFile {
  private static final Metadata.Key<String> AUTHORIZATION =
      Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER);

  private AnalyseFile() {}

  public static void main(String[] args) throws InterruptedException {
    if (args.length != 3) {
      System.err.println("usage: AnalyseFile HOST:PORT TOKEN-FILE FILE");
      System.exit(2);
    }
    System.exit(run(args[0], Path.of(args[1]), Path.of(args[2])));
  }

  private static int run(String server, Path tokenFile, Path file) throws InterruptedException {
    ManagedChannel channel =
        NettyChannelBuilder.forTarget(server)
            .usePlaintext()
            // A proxy that the environment names is not for a service on this machine.
            .proxyDetector(address -> null)
            .build();
    try {
      Metadata headers = new Metadata();
      headers.put(AUTHORIZATION, "Bearer " + Files.readString(tokenFile).strip());
      OperationsServiceStub service =
          OperationsServiceGrpc.newStub(channel)
              .withInterceptors(MetadataUtils.newAttachHeadersInterceptor(headers))
              // So that nothing waits for ever.
              .withDeadlineAfter(60, TimeUnit.SECONDS);
      print(file, analyse(service, file.toRealPath()).join());
      return 0;
    } catch (CompletionException e) {
      System.err.println("takewright: " + explain(server, e.getCause()));
    } catch (IOException e) {
      System.err.println("takewright: cannot be read: " + e.getMessage());
    } finally {
      channel.shutdownNow().awaitTermination(1, TimeUnit.SECONDS);
    }
    return 2;
  }

  /** One message of settings goes out; of what comes back only the facts are of interest. */
  private static CompletableFuture<SampleFacts> analyse(OperationsServiceStub service, Path file) {
    CompletableFuture<SampleFacts> facts = new CompletableFuture<>();
    StreamObserver<AnalyseRequest> call =
        service.analyse(
            new StreamObserver<>() {
              @Override
              public void onNext(AnalyseResponse response) {
                if (response.hasFacts()) {
                  facts.complete(response.getFacts());
                }
              }

              @Override
              public void onError(Throwable problem) {
                facts.completeExceptionally(problem);
              }

              @Override
              public void onCompleted() {
                facts.completeExceptionally(
                    new StatusRuntimeException(Status.INTERNAL.withDescription("no facts came")));
              }
            });
    call.onNext(
        AnalyseRequest.newBuilder()
            .setConfig(
                AnalyseConfig.newBuilder()
                    // The service's own working directory is another one: it wants the whole path.
                    .setInput(AudioInput.newBuilder().setFile(file.toString())))
            .build());
    call.onCompleted();
    return facts;
  }

  private static void print(Path file, SampleFacts facts) {
    System.out.println("file\tnote\tcents\tlevel_lufs");
    System.out.printf(
        Locale.ROOT,
        "%s\t%s\t%s\t%s%n",
        file,
        facts.hasPitch() ? facts.getPitch().getNote() : "",
        facts.hasPitch() ? String.format(Locale.ROOT, "%.1f", facts.getPitch().getCents()) : "",
        facts.hasLevelLufs() ? String.format(Locale.ROOT, "%.1f", facts.getLevelLufs()) : "");
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
