package takewright.cli.connect;

import io.grpc.CallOptions;
import io.grpc.Channel;
import io.grpc.ChannelCredentials;
import io.grpc.ClientCall;
import io.grpc.ClientInterceptor;
import io.grpc.ClientInterceptors;
import io.grpc.InsecureChannelCredentials;
import io.grpc.ManagedChannel;
import io.grpc.MethodDescriptor;
import io.grpc.TlsChannelCredentials;
import io.grpc.inprocess.InProcessChannelBuilder;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import java.io.Closeable;
import java.io.FileNotFoundException;
import java.io.IOException;
import java.lang.reflect.Field;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import picocli.CommandLine.Model.ArgSpec;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Spec;
import takewright.service.TakewrightServer;

/** The service that a command calls: a running one, or one inside its own process. */
public final class Connection {
  @Option(
      names = "--server",
      paramLabel = "HOST:PORT[,HOST:PORT]...",
      description =
          "Calls the service that runs there, or one of several that share a disk."
              + " Default: a service of the same user that runs on this machine and may reach the"
              + " files, else one in the command's own process.")
  private String server;

  @Option(
      names = "--local",
      defaultValue = "${env:TAKEWRIGHT_LOCAL:-false}",
      description =
          "Works in the command's own process even where a service runs. Default: the"
              + " environment variable TAKEWRIGHT_LOCAL (true or false), else false.")
  private boolean local;

  @Spec(Spec.Target.MIXEE)
  private CommandSpec command;

  /** The service that was found and is used; null if there is none. */
  private RunningService found;

  @Option(
      names = "--token-file",
      paramLabel = "FILE",
      split = ",",
      description =
          "File with that service's token; for several services one file for all, or"
              + " one each, separated by commas. Default: ~/.takewright/token-PORT.")
  private List<Path> tokenFiles = List.of();

  @Option(
      names = "--tls-ca",
      paramLabel = "FILE",
      description =
          "CA certificate (PEM) that signed the service's certificate; turns TLS on."
              + " Default: the system's CAs for another machine, no TLS on this one.")
  private Path tlsAuthority;

  @Option(
      names = "--tls-cert",
      paramLabel = "FILE",
      description = "The client's certificate (PEM), if the service requires one.")
  private Path tlsCertificate;

  @Option(
      names = "--tls-key",
      paramLabel = "FILE",
      description = "The private key of --tls-cert (PEM, PKCS#8).")
  private Path tlsKey;

  /** Opens the connection. */
  public OpenConnection open() throws IOException {
    if (server == null) {
      found = local ? null : RunningService.find(files());
      if (found != null) {
        command.commandLine().getErr().println(found.line());
        return session(found.servers());
      }
      TakewrightServer own = TakewrightServer.startInProcess();
      ManagedChannel channel =
          InProcessChannelBuilder.forName(own.address()).directExecutor().build();
      return new OpenConnection(channel, channel, null, own, 1);
    }
    Servers servers = new Servers(server, tokenFiles);
    servers.find();
    return session(servers);
  }

  /**
   * Opens a connection to each of several services that --server names; to none where it names one
   * or is not given.
   */
  public EachConnection openEach() throws IOException {
    Map<String, OpenConnection> each = new LinkedHashMap<>();
    if (server != null) {
      Map<String, Servers> servers = new Servers(server, tokenFiles).each();
      if (servers.size() > 1) {
        for (Map.Entry<String, Servers> one : servers.entrySet()) {
          each.put(one.getKey(), session(one.getValue()));
        }
      }
    }
    return new EachConnection(each);
  }

  /** Whether a running service was found and is used. */
  public boolean usesFound() {
    return found != null;
  }

  /** The files and folders that the command names, but for those that are about the connection. */
  private List<Path> files() {
    List<Path> files = new ArrayList<>();
    if (command == null) {
      return files;
    }
    for (ArgSpec argument : command.args()) {
      boolean isOwn =
          argument.userObject() instanceof Field field
              && field.getDeclaringClass() == Connection.class;
      if (!isOwn) {
        add(argument.getValue(), files);
      }
    }
    return files;
  }

  private static void add(Object value, List<Path> files) {
    if (value instanceof Path file) {
      files.add(file);
    } else if (value instanceof Iterable<?> several && !(value instanceof Path)) {
      several.forEach(one -> add(one, files));
    }
  }

  private OpenConnection session(Servers servers) throws IOException {
    NetworkChannel network =
        new NetworkChannel(
            NettyChannelBuilder.forTarget(servers.target(), credentials(servers))
                .defaultServiceConfig(Servers.serviceConfig())
                // A machine that is switched off sends nothing: it counts as gone after half a
                // minute.
                .keepAliveTime(20, TimeUnit.SECONDS)
                .keepAliveTimeout(10, TimeUnit.SECONDS));
    Channel authorised = ClientInterceptors.intercept(network.channel(), authorised(servers));
    return new OpenConnection(authorised, network.channel(), network, null, servers.count());
  }

  private ChannelCredentials credentials(Servers servers) throws IOException {
    boolean isTls = tlsAuthority != null || tlsCertificate != null || !servers.areOnThisMachine();
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

  private static ClientInterceptor authorised(Servers servers) {
    return new ClientInterceptor() {
      @Override
      public <Q, A> ClientCall<Q, A> interceptCall(
          MethodDescriptor<Q, A> method, CallOptions options, Channel next) {
        return next.newCall(method, options.withCallCredentials(servers));
      }
    };
  }

  /** Connections to several services, each of its own. */
  public static final class EachConnection implements Closeable {
    private final Map<String, OpenConnection> connections;

    private EachConnection(Map<String, OpenConnection> connections) {
      this.connections = connections;
    }

    /** Where the calls of each go, by HOST:PORT. */
    public Map<String, Channel> channels() {
      Map<String, Channel> channels = new LinkedHashMap<>();
      connections.forEach((name, connection) -> channels.put(name, connection.channel()));
      return channels;
    }

    @Override
    public void close() throws IOException {
      for (OpenConnection connection : connections.values()) {
        connection.close();
      }
    }
  }

  /** An open connection. */
  public static final class OpenConnection implements Closeable {
    private final Channel channel;
    private final ManagedChannel underlying;

    /** Null without a network. */
    private final NetworkChannel network;

    private final TakewrightServer own;
    private final int servers;

    /** Lets an interrupted command clean up. */
    private final Thread interrupted = new Thread(this::stop);

    private OpenConnection(
        Channel channel,
        ManagedChannel underlying,
        NetworkChannel network,
        TakewrightServer own,
        int servers) {
      this.channel = channel;
      this.underlying = underlying;
      this.network = network;
      this.own = own;
      this.servers = servers;
      if (own != null) {
        Runtime.getRuntime().addShutdownHook(interrupted);
      }
    }

    private void stop() {
      try {
        own.stop();
      } catch (IOException e) {
        // Nobody is left to be told.
      }
    }

    /** Whether the service runs in this process. */
    public boolean isOwn() {
      return own != null;
    }

    /** Where calls go. */
    public Channel channel() {
      return channel;
    }

    /**
     * Makes the next call retry a service that was gone at once, instead of after gRPC's backoff.
     */
    void retryNow() {
      underlying.resetConnectBackoff();
    }

    /** Number of services that may take a call. */
    public int servers() {
      return servers;
    }

    @Override
    public void close() throws IOException {
      underlying.shutdownNow();
      if (network != null) {
        network.close();
      }
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
