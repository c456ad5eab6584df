package takewright.cli.connect;

import io.grpc.Metadata;
import io.grpc.StatusRuntimeException;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.stub.MetadataUtils;
import java.io.IOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.Socket;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import takewright.service.ServerSettings;
import takewright.service.TakewrightServer;
import takewright.v1.GetServerInfoRequest;
import takewright.v1.GetServerInfoResponse;
import takewright.v1.ServerServiceGrpc;

/**
 * A service of this user that runs on this machine: its token lies where services put theirs, it is
 * of this version, and it may reach the files of the command.
 */
final class RunningService {
  private static final Pattern TOKEN = Pattern.compile("token-([0-9]{1,5})");

  /** A port of this machine accepts at once or not at all. */
  private static final int CONNECT_MS = 200;

  /**
   * A service that takes longer has enough to do; the command then works by itself. On a busy
   * machine the first call of a program that has just started takes a second.
   */
  private static final int ANSWER_MS = 5000;

  private final int port;

  private RunningService(int port) {
    this.port = port;
  }

  /**
   * Finds one, or null.
   *
   * @param files that it must be able to reach
   */
  static RunningService find(List<Path> files) {
    for (int port : ports()) {
      if (accepts(port) && suits(port, files)) {
        return new RunningService(port);
      }
    }
    return null;
  }

  /** The ports of services that have put their token in the usual place, the usual port first. */
  private static List<Integer> ports() {
    List<Integer> ports = new ArrayList<>();
    Path folder = ServerSettings.defaultTokenFile(ServerSettings.DEFAULT_PORT).getParent();
    try (Stream<Path> files = Files.list(folder)) {
      for (Path file : (Iterable<Path>) files::iterator) {
        Matcher token = TOKEN.matcher(file.getFileName().toString());
        if (token.matches() && Files.isReadable(file)) {
          ports.add(Integer.parseInt(token.group(1)));
        }
      }
    } catch (IOException | java.io.UncheckedIOException e) {
      return List.of(); // No service has ever run.
    }
    ports.sort(
        Comparator.comparing((Integer port) -> port != ServerSettings.DEFAULT_PORT)
            .thenComparing(Comparator.naturalOrder()));
    return ports;
  }

  private static boolean accepts(int port) {
    try (Socket socket = new Socket()) {
      socket.connect(new InetSocketAddress(InetAddress.getLoopbackAddress(), port), CONNECT_MS);
      return true;
    } catch (IOException | IllegalArgumentException e) {
      return false; // The token is left of a service that was killed.
    }
  }

  private static boolean suits(int port, List<Path> files) {
    NettyChannelBuilder builder =
        NettyChannelBuilder.forAddress(ServerSettings.DEFAULT_HOST, port)
            .usePlaintext()
            .proxyDetector(address -> null);
    try (NetworkChannel network = new NetworkChannel(builder)) {
      Metadata headers = new Metadata();
      headers.put(
          Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER),
          "Bearer " + Files.readString(ServerSettings.defaultTokenFile(port)).strip());
      GetServerInfoResponse info =
          ServerServiceGrpc.newBlockingStub(network.channel())
              .withInterceptors(MetadataUtils.newAttachHeadersInterceptor(headers))
              .withDeadlineAfter(ANSWER_MS, TimeUnit.MILLISECONDS)
              .getServerInfo(GetServerInfoRequest.getDefaultInstance());
      return info.getVersion().equals(TakewrightServer.VERSION)
          && files.stream().allMatch(file -> isGranted(file, info.getGrantedFoldersList()));
    } catch (StatusRuntimeException | IOException e) {
      return false; // It uses TLS, is of another user, or is no such service.
    }
  }

  private static boolean isGranted(Path file, List<String> folders) {
    Path real = real(file);
    return folders.stream().anyMatch(folder -> real.startsWith(Path.of(folder)));
  }

  /** The real path of the deepest folder that exists, and the names below it. */
  private static Path real(Path file) {
    Path whole = file.toAbsolutePath().normalize();
    for (Path there = whole; there != null; there = there.getParent()) {
      try {
        return there.toRealPath().resolve(there.relativize(whole));
      } catch (IOException e) {
        // Its folder may exist.
      }
    }
    return whole;
  }

  /** Its address and token. */
  Servers servers() throws IOException {
    Servers servers = new Servers(ServerSettings.DEFAULT_HOST + ":" + port, List.of());
    servers.find();
    return servers;
  }

  /** What the command says about it. */
  String line() {
    return "takewright: using the service on port " + port + " (--local works without it)";
  }
}
