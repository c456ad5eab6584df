package takewright.service;

import io.grpc.ManagedChannel;
import io.grpc.Server;
import io.grpc.inprocess.InProcessChannelBuilder;
import io.grpc.inprocess.InProcessServerBuilder;
import java.io.IOException;
import java.util.UUID;
import takewright.service.access.AccessToken;
import takewright.service.access.CallLog;
import takewright.service.access.Limits;
import takewright.service.http.HttpDoor;

/** Plain HTTP in front of the services, through a server inside this process. */
final class HttpServing implements AutoCloseable {
  private final Server server;
  private final ManagedChannel channel;
  private final HttpDoor door;

  private HttpServing(Server server, ManagedChannel channel, HttpDoor door) {
    this.server = server;
    this.channel = channel;
    this.door = door;
  }

  static HttpServing open(int port, Services services, AccessToken token, Metrics metrics)
      throws IOException {
    String name = "takewright-http-" + UUID.randomUUID();
    InProcessServerBuilder builder =
        InProcessServerBuilder.forName(name)
            .addStreamTracerFactory(new CallLog())
            .intercept(metrics);
    services.addTo(builder);
    Server server = builder.build().start();
    ManagedChannel channel = InProcessChannelBuilder.forName(name).directExecutor().build();
    boolean open = false;
    try {
      HttpDoor door =
          HttpDoor.open(port, services.forHttp(), channel, token::isToken, Limits.MESSAGE_BYTES);
      open = true;
      return new HttpServing(server, channel, door);
    } finally {
      if (!open) {
        channel.shutdownNow();
        server.shutdownNow();
      }
    }
  }

  int port() {
    return door.port();
  }

  @Override
  public void close() {
    door.close();
    channel.shutdownNow();
    server.shutdownNow();
  }
}
