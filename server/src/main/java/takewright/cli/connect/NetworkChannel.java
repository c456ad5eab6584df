package takewright.cli.connect;

import io.grpc.ManagedChannel;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.netty.shaded.io.netty.channel.EventLoopGroup;
import io.grpc.netty.shaded.io.netty.channel.MultiThreadIoEventLoopGroup;
import io.grpc.netty.shaded.io.netty.channel.nio.NioIoHandler;
import io.grpc.netty.shaded.io.netty.channel.socket.nio.NioSocketChannel;
import io.grpc.netty.shaded.io.netty.util.concurrent.DefaultThreadFactory;
import io.grpc.netty.shaded.io.netty.util.internal.logging.InternalLoggerFactory;
import io.grpc.netty.shaded.io.netty.util.internal.logging.JdkLoggerFactory;
import java.io.Closeable;
import java.util.concurrent.TimeUnit;

/**
 * A channel to a service, with a network thread of its own, which ends with it. gRPC's would live
 * on for a second, and HotSpot waits for 0.3 s at its end where a thread is within a call of the
 * system, as that thread is while it waits for the network.
 */
final class NetworkChannel implements Closeable {
  private static final int MAX_END_MS = 200;

  static {
    // The service's logging takes as long to set up as a small call.
    InternalLoggerFactory.setDefaultFactory(JdkLoggerFactory.INSTANCE);
  }

  private final EventLoopGroup thread =
      new MultiThreadIoEventLoopGroup(
          1, new DefaultThreadFactory("network", true), NioIoHandler.newFactory());

  private final ManagedChannel channel;

  /** Builds a channel. */
  NetworkChannel(NettyChannelBuilder builder) {
    channel = builder.eventLoopGroup(thread).channelType(NioSocketChannel.class).build();
  }

  /** Where calls go. */
  ManagedChannel channel() {
    return channel;
  }

  @Override
  public void close() {
    channel.shutdownNow();
    thread
        .shutdownGracefully(0, MAX_END_MS, TimeUnit.MILLISECONDS)
        .awaitUninterruptibly(MAX_END_MS);
  }
}
