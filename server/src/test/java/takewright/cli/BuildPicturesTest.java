package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.Server;
import io.grpc.netty.shaded.io.grpc.netty.NettyServerBuilder;
import io.grpc.stub.StreamObserver;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.net.InetSocketAddress;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.v1.Build;
import takewright.v1.BuildResult;
import takewright.v1.GetBuildRequest;
import takewright.v1.GetBuildResponse;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.StartBuildRequest;
import takewright.v1.StartBuildResponse;
import takewright.v1.WatchBuildRequest;
import takewright.v1.WatchBuildResponse;

/** A build by a service that draws the pictures afterwards; one that only plays it stands in. */
class BuildPicturesTest {
  private static final String FOLLOW =
      "3 pictures of the report will follow within seconds; --with-pictures waits for them";

  @TempDir Path folder;
  private final List<WatchBuildRequest> watched = new ArrayList<>();
  private Server server;

  @BeforeEach
  void start() throws IOException {
    server =
        NettyServerBuilder.forAddress(new InetSocketAddress("127.0.0.1", 0))
            .addService(new Played())
            .build()
            .start();
    Files.writeString(folder.resolve("token"), "of nobody");
  }

  @AfterEach
  void stop() {
    server.shutdownNow();
  }

  /** What the command prints. */
  private String build(String... more) {
    List<String> words = new ArrayList<>(List.of("build", "sheet.yaml", "--out", "library"));
    words.addAll(List.of("--server", "127.0.0.1:" + server.getPort()));
    words.addAll(List.of("--token-file", folder.resolve("token").toString()));
    words.addAll(List.of(more));
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    PrintStream said = new PrintStream(out, true, StandardCharsets.UTF_8);
    assertEquals(0, Main.run(said, said, words.toArray(String[]::new)), out::toString);
    return out.toString(StandardCharsets.UTF_8);
  }

  @Test
  void theLastLineSaysThatPicturesFollow() {
    String said = build();
    assertTrue(said.endsWith(FOLLOW + System.lineSeparator()), said);
    assertFalse(watched.get(0).getWithPictures());
  }

  @Test
  void whoAsksForThemWaitsForThem() {
    assertFalse(build("--with-pictures").contains("follow"));
    assertTrue(watched.get(0).getWithPictures());
  }

  @Test
  void theResultAsJsonIsTheResultAlone() {
    assertFalse(build("--json").contains("follow"));
  }

  /** A service that has built already, and has three pictures to draw unless it is waited for. */
  private final class Played extends LibraryServiceGrpc.LibraryServiceImplBase {
    private Build build() {
      boolean drawn = !watched.isEmpty() && watched.get(0).getWithPictures();
      return Build.newBuilder().setBuildId("build-1").setPicturesLeft(drawn ? 0 : 3).build();
    }

    @Override
    public void startBuild(StartBuildRequest request, StreamObserver<StartBuildResponse> answer) {
      answer.onNext(StartBuildResponse.newBuilder().setBuild(build()).build());
      answer.onCompleted();
    }

    @Override
    public void watchBuild(WatchBuildRequest request, StreamObserver<WatchBuildResponse> answer) {
      watched.add(request);
      BuildResult result = BuildResult.newBuilder().setSamples(3).build();
      answer.onNext(WatchBuildResponse.newBuilder().setResult(result).build());
      answer.onCompleted();
    }

    @Override
    public void getBuild(GetBuildRequest request, StreamObserver<GetBuildResponse> answer) {
      answer.onNext(GetBuildResponse.newBuilder().setBuild(build()).build());
      answer.onCompleted();
    }
  }
}
