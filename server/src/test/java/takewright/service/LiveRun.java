package takewright.service;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.google.protobuf.ByteString;
import io.grpc.ManagedChannel;
import io.grpc.Metadata;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.stub.MetadataUtils;
import io.grpc.stub.StreamObserver;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import takewright.audio.AudioFile;
import takewright.v1.FollowSessionConfig;
import takewright.v1.FollowSessionRequest;
import takewright.v1.FollowSessionResponse;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.LibraryServiceGrpc.LibraryServiceBlockingStub;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;
import takewright.v1.SessionServiceGrpc;
import takewright.v1.StartBuildRequest;
import takewright.v1.WatchBuildRequest;

/**
 * How soon a note is told by the clock, run by hand: plays a take at its real speed, 40 ms at a
 * time, to a service that runs, which builds libraries meanwhile. Prints by how much the first word
 * of each note came after its last audible frame, which the take's truth tells, had been played.
 *
 * <p>Words: port, token file, sheet, take, its truth (JSON), seconds to play, then the sheets of
 * libraries to build, over and over, each in a thread of its own.
 */
final class LiveRun {
  private static final int PIECES = 25;

  private final ManagedChannel channel;
  private volatile boolean isOver;

  private LiveRun(ManagedChannel channel) {
    this.channel = channel;
  }

  public static void main(String[] words) throws Exception {
    Metadata headers = new Metadata();
    headers.put(
        Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER),
        "Bearer " + Files.readString(Path.of(words[1])).strip());
    ManagedChannel channel =
        NettyChannelBuilder.forAddress("127.0.0.1", Integer.parseInt(words[0]))
            .usePlaintext()
            .intercept(MetadataUtils.newAttachHeadersInterceptor(headers))
            .build();
    LiveRun run = new LiveRun(channel);
    List<Thread> builders = new ArrayList<>();
    Path out = Files.createTempDirectory(Path.of(words[2]).toAbsolutePath().getParent(), "out");
    for (int i = 6; i < words.length; i++) {
      String sheet = words[i];
      Path folder = out.resolve(Integer.toString(i));
      builders.add(new Thread(() -> run.build(sheet, folder)));
    }
    builders.forEach(Thread::start);
    run.follow(Path.of(words[2]), Path.of(words[3]), Path.of(words[4]), Integer.parseInt(words[5]));
    run.isOver = true;
    channel.shutdownNow();
    for (Thread builder : builders) {
      builder.join();
    }
  }

  private void build(String sheet, Path folder) {
    int builds = 0;
    try {
      for (; !isOver; builds++) {
        LibraryServiceBlockingStub stub = LibraryServiceGrpc.newBlockingStub(channel);
        String id =
            stub.startBuild(
                    StartBuildRequest.newBuilder()
                        .setSheetFile(sheet)
                        .setOutputFolder(folder.resolve(Integer.toString(builds)).toString())
                        .build())
                .getBuild()
                .getBuildId();
        stub.watchBuild(WatchBuildRequest.newBuilder().setBuildId(id).build())
            .forEachRemaining(answer -> {});
      }
    } catch (RuntimeException e) {
      System.out.println(sheet + ": " + builds + " builds, then " + e.getMessage());
    }
  }

  private record Told(long arrivedNs, long onset, long heardAt) {}

  private void follow(Path sheet, Path take, Path truth, int seconds) throws Exception {
    List<Told> told = new ArrayList<>();
    Set<Integer> known = new HashSet<>();
    CountDownLatch over = new CountDownLatch(1);
    try (AudioFile audio = AudioFile.open(take)) {
      StreamObserver<FollowSessionRequest> call =
          SessionServiceGrpc.newStub(channel)
              .followSession(
                  new StreamObserver<>() {
                    @Override
                    public void onNext(FollowSessionResponse answer) {
                      if (answer.hasNote() && known.add(answer.getNote().getNumber())) {
                        told.add(
                            new Told(
                                System.nanoTime(),
                                answer.getNote().getOnsetFrame(),
                                answer.getNote().getHeardAtFrame()));
                      }
                    }

                    @Override
                    public void onError(Throwable e) {
                      System.out.println(e);
                      over.countDown();
                    }

                    @Override
                    public void onCompleted() {
                      over.countDown();
                    }
                  });
      int rate = audio.sampleRate();
      call.onNext(
          FollowSessionRequest.newBuilder()
              .setConfig(
                  FollowSessionConfig.newBuilder()
                      .setSheetText(Files.readString(sheet))
                      .setFormat(
                          PcmFormat.newBuilder()
                              .setEncoding(PcmEncoding.PCM_ENCODING_FLOAT32)
                              .setSampleRateHz(rate)
                              .setChannels(audio.channels())))
              .build());
      int piece = rate / PIECES;
      float[][] block = new float[audio.channels()][piece];
      long began = System.nanoTime();
      long played = 0;
      for (int n; (n = audio.read(block, 0, piece)) >= 0 && played < (long) seconds * rate; ) {
        ByteBuffer bytes = ByteBuffer.allocate(4 * n * block.length).order(ByteOrder.LITTLE_ENDIAN);
        for (int i = 0; i < n; i++) {
          for (float[] samples : block) {
            bytes.putFloat(samples[i]);
          }
        }
        played += n;
        long left = began + (long) (1e9 * played / rate) - System.nanoTime();
        if (left > 0) {
          TimeUnit.NANOSECONDS.sleep(left);
        }
        call.onNext(
            FollowSessionRequest.newBuilder().setAudio(ByteString.copyFrom(bytes.array())).build());
      }
      call.onCompleted();
      over.await();
      List<Double> clockMs = new ArrayList<>();
      List<Double> audioMs = new ArrayList<>();
      List<Double> waitMs = new ArrayList<>();
      for (JsonNode event : new ObjectMapper().readTree(truth.toFile()).get("events")) {
        if (!event.get("what").asText().equals("note")) {
          continue;
        }
        double onset = event.get("onset").asDouble();
        double end = event.get("audible_end").asDouble();
        for (Told note : told) {
          double arrived = (note.arrivedNs - began) / 1e9;
          if (Math.abs((double) note.onset / rate - onset) < 0.1 && arrived < seconds) {
            clockMs.add(1000 * (arrived - end));
            audioMs.add(1000 * ((double) note.heardAt / rate - end));
            waitMs.add(1000 * (arrived - (double) note.heardAt / rate));
          }
        }
      }
      print("by the clock", clockMs);
      print("in audio", audioMs);
      print("of it waiting (a piece is sent up to 40 ms late)", waitMs);
    }
  }

  private static void print(String what, List<Double> ms) {
    double[] sorted = ms.stream().mapToDouble(Double::doubleValue).sorted().toArray();
    if (sorted.length > 0) {
      System.out.printf(
          "%s: n %d, median %.0f ms, 95%% %.0f ms, most %.0f ms, %s%n",
          what,
          sorted.length,
          sorted[sorted.length / 2],
          sorted[(int) (0.95 * sorted.length)],
          sorted[sorted.length - 1],
          ms.stream().map(Math::round).toList());
    }
  }
}
