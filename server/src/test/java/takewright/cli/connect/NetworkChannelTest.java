package takewright.cli.connect;

import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import java.io.IOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;

class NetworkChannelTest {
  /** HotSpot would wait for it at the end of every command. */
  @Test
  void itsThreadEndsWithIt() throws IOException, InterruptedException {
    try (ServerSocket service = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
      List<Thread> before = threads();
      NetworkChannel network =
          new NetworkChannel(
              NettyChannelBuilder.forAddress("127.0.0.1", service.getLocalPort()).usePlaintext());
      network.channel().getState(true);
      // Accepted once the thread works.
      service.accept().close();
      List<Thread> own = threads().stream().filter(t -> !before.contains(t)).toList();
      assertFalse(own.isEmpty(), "none of its name");
      network.close();
      for (Thread thread : own) {
        thread.join(TimeUnit.SECONDS.toMillis(20));
        assertFalse(thread.isAlive(), thread.getName());
      }
      assertTrue(network.channel().isShutdown());
    }
  }

  private static List<Thread> threads() {
    return Thread.getAllStackTraces().keySet().stream()
        .filter(thread -> thread.getName().startsWith("network"))
        .toList();
  }
}
