package takewright.cli;

import io.grpc.CallOptions;
import io.grpc.Channel;
import io.grpc.ChannelCredentials;
import io.grpc.ClientCall;
import io.grpc.ClientInterceptor;
import io.grpc.ClientInterceptors;
import io.grpc.ForwardingClientCall.SimpleForwardingClientCall;
import io.grpc.InsecureChannelCredentials;
import io.grpc.ManagedChannel;
import io.grpc.Metadata;
import io.grpc.MethodDescriptor;
import io.grpc.TlsChannelCredentials;
import io.grpc.inprocess.InProcessChannelBuilder;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import java.io.Closeable;
import java.io.FileNotFoundException;
import java.io.IOException;
import java.net.InetAddress;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import picocli.CommandLine.Option;
import takewright.service.ServerSettings;
import takewright.service.TakewrightServer;

/** The service that a command calls: one that runs already, or one inside its own process. */
final class Connection {
  private static final Metadata.Key<String> AUTHORIZATION =
      Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER);

  @Option(
      names = "--server",
      paramLabel = "HOST:PORT",
      description = "Call the service that runs there. Without it, one is started for the command.")
  private String server;

  @Option(
      names = "--token-file",
      paramLabel = "FILE",
      description = "The file with that service's token. Default: ~/.takewright/token-PORT.")
  private Path tokenFile;

  @Option(
      names = "--tls-ca",
      paramLabel = "FILE",
      description =
          "Who vouches for that service's certificate (PEM); calls go over TLS then. Default: for"
              + " another machine those that the system trusts, on this one no TLS.")
  private Path tlsAuthority;

  @Option(
      names = "--tls-cert",
      paramLabel = "FILE",
      description = "This client's certificate (PEM), if the service asks for one.")
  private Path tlsCertificate;

  @Option(names = "--tls-key", paramLabel = "FILE", description = "Its private key (PEM, PKCS#8).")
  private Path tlsKey;

  /** Opens the connection. */
  Session open() throws IOException {
    if (server == null) {
      TakewrightServer own = TakewrightServer.startInProcess();
      ManagedChannel channel =
          InProcessChannelBuilder.forName(own.address()).directExecutor().build();
      return new Session(channel, channel, own);
    }
    int colon = server.lastIndexOf(':');
    int port = -1;
    try {
      port = Integer.parseInt(server.substring(colon + 1));
    } catch (NumberFormatException e) {
      // said below
    }
    if (colon < 1 || port < 1 || port > 65_535) {
      throw new IllegalArgumentException("--server must be HOST:PORT, not " + server);
    }
    InetAddress host = InetAddress.getByName(server.substring(0, colon).replaceAll("[\\[\\]]", ""));
    String token = token(tokenFile == null ? ServerSettings.defaultTokenFile(port) : tokenFile);
    ManagedChannel channel =
        // By its name, which the certificate is held against.
        NettyChannelBuilder.forTarget("dns:///" + server, credentials(host)).build();
    return new Session(ClientInterceptors.intercept(channel, bearer(token)), channel, null);
  }

  private ChannelCredentials credentials(InetAddress host) throws IOException {
    boolean isTls = tlsAuthority != null || tlsCertificate != null || !host.isLoopbackAddress();
    if (!isTls) {
      return InsecureChannelCredentials.create();
    }
    TlsChannelCredentials.Builder tls = TlsChannelCredentials.newBuilder();
    try {
      if (tlsAuthority != null) {
        tls.trustManager(tlsAuthority.toFile());
      }
      if (tlsCertificate != null) {
        if (tlsKey == null) {
          throw new IllegalArgumentException("--tls-cert needs --tls-key");
        }
        tls.keyManager(tlsCertificate.toFile(), tlsKey.toFile());
      }
    } catch (FileNotFoundException e) {
      throw new IOException(
          "a file of --tls-ca, --tls-cert or --tls-key cannot be read: " + e.getMessage(), e);
    }
    return tls.build();
  }

  private String token(Path file) throws IOException {
    try {
      return Files.readString(file).strip();
    } catch (NoSuchFileException e) {
      throw new IOException(
          file
              + " is not there: start the service with `takewright serve`, or say where its token"
              + " is with --token-file");
    }
  }

  private static ClientInterceptor bearer(String token) {
    return new ClientInterceptor() {
      @Override
      public <Q, A> ClientCall<Q, A> interceptCall(
          MethodDescriptor<Q, A> method, CallOptions options, Channel next) {
        return new SimpleForwardingClientCall<>(next.newCall(method, options)) {
          @Override
          public void start(Listener<A> listener, Metadata headers) {
            headers.put(AUTHORIZATION, "Bearer " + token);
            super.start(listener, headers);
          }
        };
      }
    };
  }

  /** An open connection. */
  static final class Session implements Closeable {
    private final Channel channel;
    private final ManagedChannel underlying;
    private final TakewrightServer own;

    /** Has an interrupted command clean up behind itself. */
    private final Thread interrupted = new Thread(this::stop);

    private Session(Channel channel, ManagedChannel underlying, TakewrightServer own) {
      this.channel = channel;
      this.underlying = underlying;
      this.own = own;
      if (own != null) {
        Runtime.getRuntime().addShutdownHook(interrupted);
      }
    }

    private void stop() {
      try {
        own.stop();
      } catch (IOException e) {
        // There is nobody left to tell.
      }
    }

    /** Whether the service runs in this process. */
    boolean isOwn() {
      return own != null;
    }

    /** Where calls go. */
    Channel channel() {
      return channel;
    }

    @Override
    public void close() throws IOException {
      underlying.shutdownNow();
      if (own != null) {
        own.close();
        try {
          Runtime.getRuntime().removeShutdownHook(interrupted);
        } catch (IllegalStateException e) {
          // It runs already.
        }
      }
    }
  }
}
