package takewright.cli.connect;

import io.grpc.Attributes;
import io.grpc.CallCredentials;
import io.grpc.EquivalentAddressGroup;
import io.grpc.Grpc;
import io.grpc.Metadata;
import io.grpc.NameResolver;
import io.grpc.NameResolverProvider;
import io.grpc.NameResolverRegistry;
import io.grpc.Status;
import io.grpc.StatusOr;
import java.io.IOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.SocketAddress;
import java.net.URI;
import java.net.UnknownHostException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.Executor;
import takewright.service.ServerSettings;

/**
 * The services that a command may call, and their tokens. gRPC distributes calls among those that
 * answer.
 */
final class Servers extends CallCredentials {
  private static final Metadata.Key<String> AUTHORIZATION =
      Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER);

  private static final String SCHEME = "takewright";

  /**
   * Short calls that can safely be repeated are retried if a server is gone or overloaded, at the
   * time it gives. Calls that write are not retried; of streams only the start is kept.
   */
  private static final Map<String, ?> CALLS =
      Map.of(
          "loadBalancingConfig",
          List.of(Map.of("round_robin", Map.of())),
          "methodConfig",
          List.of(
              Map.of(
                  "name",
                  List.of(
                      Map.of("service", "takewright.v1.NamingService"),
                      method("OperationsService", "Analyse"),
                      method("OperationsService", "Segment"),
                      method("LibraryService", "CheckSheet"),
                      method("LibraryService", "ListBuilds")),
                  "retryPolicy",
                  Map.of(
                      "maxAttempts",
                      4.0,
                      "initialBackoff",
                      "0.2s",
                      "maxBackoff",
                      "2s",
                      "backoffMultiplier",
                      2.0,
                      "retryableStatusCodes",
                      List.of("UNAVAILABLE", "RESOURCE_EXHAUSTED")))));

  private static Map<String, String> method(String service, String method) {
    return Map.of("service", "takewright.v1." + service, "method", method);
  }

  static {
    NameResolverRegistry.getDefaultRegistry().register(new Provider());
  }

  private record One(String host, int port, Path token) {
    String name() {
      return host + ":" + port;
    }
  }

  private final List<One> all = new ArrayList<>();
  private final Map<SocketAddress, One> byAddress = new ConcurrentHashMap<>();

  /**
   * @param list HOST:PORT, and more of them behind commas
   * @param tokens a file for each, one for all, or none for the usual places
   */
  Servers(String list, List<Path> tokens) {
    for (String one : list.split(",", -1)) {
      int colon = one.lastIndexOf(':');
      int port = -1;
      try {
        port = Integer.parseInt(one.substring(colon + 1));
      } catch (NumberFormatException e) {
        // said below
      }
      if (colon < 1 || port < 1 || port > 65_535) {
        throw new IllegalArgumentException("--server must be HOST:PORT, not " + one);
      }
      Path token =
          tokens.isEmpty()
              ? ServerSettings.defaultTokenFile(port)
              : tokens.get(Math.min(all.size(), tokens.size() - 1));
      all.add(new One(one.substring(0, colon).replaceAll("[\\[\\]]", ""), port, token));
    }
    if (tokens.size() > 1 && tokens.size() != all.size()) {
      throw new IllegalArgumentException(
          "--token-file must name one file, or one for each of the "
              + all.size()
              + " servers, not "
              + tokens.size());
    }
  }

  /**
   * Finds them.
   *
   * @throws IOException if a name is unknown or no token is there
   */
  void find() throws IOException {
    for (One one : all) {
      try {
        addresses(one);
      } catch (UnknownHostException e) {
        throw new IOException(
            "--server names a machine that is not known here: "
                + one.name()
                + "; correct it, or check the network",
            e);
      }
    }
    if (all.stream().noneMatch(one -> Files.isReadable(one.token))) {
      throw new IOException(
          all.get(0).token
              + " does not exist: start the service with `takewright serve`, or name its"
              + " token's file with --token-file");
    }
  }

  int count() {
    return all.size();
  }

  /** Each of them alone, by its name. */
  Map<String, Servers> each() throws UnknownHostException {
    Map<String, Servers> each = new LinkedHashMap<>();
    for (One one : all) {
      Servers alone = new Servers(one.name(), List.of(one.token));
      alone.addresses(alone.all.get(0));
      each.put(one.name(), alone);
    }
    return each;
  }

  boolean areOnThisMachine() throws UnknownHostException {
    for (One one : all) {
      if (!InetAddress.getByName(one.host).isLoopbackAddress()) {
        return false;
      }
    }
    return true;
  }

  /** The target of a channel. */
  String target() {
    return SCHEME + ":///" + String.join(",", all.stream().map(One::name).toList());
  }

  static Map<String, ?> serviceConfig() {
    return CALLS;
  }

  private List<SocketAddress> addresses(One one) throws UnknownHostException {
    List<SocketAddress> addresses = new ArrayList<>();
    for (InetAddress address : InetAddress.getAllByName(one.host)) {
      addresses.add(new InetSocketAddress(address, one.port));
    }
    addresses.forEach(address -> byAddress.put(address, one));
    return addresses;
  }

  /**
   * Adds the current token of the server that a call goes to; each start of a server makes a new
   * one.
   */
  @Override
  public void applyRequestMetadata(RequestInfo call, Executor executor, MetadataApplier applier) {
    One one = byAddress.get(call.getTransportAttrs().get(Grpc.TRANSPORT_ATTR_REMOTE_ADDR));
    try {
      Metadata headers = new Metadata();
      headers.put(AUTHORIZATION, "Bearer " + Files.readString(one.token).strip());
      applier.apply(headers);
    } catch (NoSuchFileException e) {
      applier.fail(Status.UNAVAILABLE.withDescription(one.token + " does not exist"));
    } catch (IOException e) {
      applier.fail(
          Status.UNAUTHENTICATED.withDescription(
              one.token
                  + " cannot be read: call as its owner, or ask the owner for permission to read"
                  + " it"));
    }
  }

  /** Tells gRPC the addresses of a list of servers. */
  private static final class Provider extends NameResolverProvider {
    @Override
    protected boolean isAvailable() {
      return true;
    }

    @Override
    protected int priority() {
      return 5; // the middle priority: nobody else uses the scheme
    }

    @Override
    public String getDefaultScheme() {
      return SCHEME;
    }

    @Override
    public NameResolver newNameResolver(URI target, NameResolver.Args args) {
      return SCHEME.equals(target.getScheme())
          ? new Resolver(new Servers(target.getPath().substring(1), List.of()))
          : null;
    }
  }

  private static final class Resolver extends NameResolver {
    private final Servers servers;
    private Listener2 listener;

    Resolver(Servers servers) {
      this.servers = servers;
    }

    @Override
    public String getServiceAuthority() {
      return servers.all.get(0).name();
    }

    @Override
    public void start(Listener2 told) {
      listener = told;
      refresh();
    }

    @Override
    public void refresh() {
      List<EquivalentAddressGroup> groups = new ArrayList<>();
      try {
        for (One one : servers.all) {
          // Its own name, which its certificate is compared with.
          groups.add(
              new EquivalentAddressGroup(
                  servers.addresses(one),
                  Attributes.newBuilder()
                      .set(EquivalentAddressGroup.ATTR_AUTHORITY_OVERRIDE, one.name())
                      .build()));
        }
      } catch (UnknownHostException e) {
        listener.onError(Status.UNAVAILABLE.withDescription("no such host: " + e.getMessage()));
        return;
      }
      listener.onResult(
          ResolutionResult.newBuilder().setAddressesOrError(StatusOr.fromValue(groups)).build());
    }

    @Override
    public void shutdown() {}
  }
}
