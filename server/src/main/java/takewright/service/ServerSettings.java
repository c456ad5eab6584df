package takewright.service;

import java.nio.file.Path;
import java.util.List;

/**
 * Settings of a service that other programs can call.
 *
 * @param host address to listen on; beyond loopback only with TLS
 * @param port TCP port, 0 to 65535; 0 takes one that is free
 * @param allowed folders whose files calls may read and write; none: calls may only stream audio
 * @param tokenFile where the access token is written, or null for {@link #defaultTokenFile}
 * @param tls how calls are encrypted, or null: not at all, on loopback
 * @param metricsPort TCP port on loopback that answers Prometheus, 0 for one that is free; -1: none
 * @param httpPort TCP port on loopback that answers plain HTTP, 0 for one that is free; -1: none
 * @param boardPort TCP port of the boards of sessions, 0 for one that is free
 * @param stateFolder where followed sessions and the records of builds are kept for a service that
 *     is started later, or null: they end with this one
 */
public record ServerSettings(
    String host,
    int port,
    List<Path> allowed,
    Path tokenFile,
    Tls tls,
    int metricsPort,
    int httpPort,
    int boardPort,
    Path stateFolder) {
  /**
   * Files in PEM.
   *
   * @param certificate the server's certificate, and those that vouch for it
   * @param key its private key
   * @param clientAuthority who vouches for clients, or null: they need no certificate
   */
  public record Tls(Path certificate, Path key, Path clientAuthority) {}

  /** Default address to listen on. */
  public static final String DEFAULT_HOST = "127.0.0.1";

  /** Default port; not assigned to another service by IANA. */
  public static final int DEFAULT_PORT = 7171;

  /** On loopback, without TLS and metrics. */
  public ServerSettings(String host, int port, List<Path> allowed, Path tokenFile) {
    this(host, port, allowed, tokenFile, null, -1, -1, 0, null);
  }

  public ServerSettings {
    if (port < 0 || port > 65_535) {
      throw new IllegalArgumentException("--port must be 0 to 65535, not " + port);
    }
    if (metricsPort < -1 || metricsPort > 65_535) {
      throw new IllegalArgumentException("--metrics-port must be 0 to 65535, not " + metricsPort);
    }
    if (httpPort < -1 || httpPort > 65_535) {
      throw new IllegalArgumentException("--http-port must be 0 to 65535, not " + httpPort);
    }
    if (boardPort < 0 || boardPort > 65_535) {
      throw new IllegalArgumentException("--board-port must be 0 to 65535, not " + boardPort);
    }
    allowed = List.copyOf(allowed);
  }

  Path sessionFolder() {
    return stateFolder == null ? null : stateFolder.resolve("sessions");
  }

  /**
   * Each port has its own: a service that is started again on it knows the builds of the one
   * before, and those of another that runs beside it are not taken for its own.
   */
  Path buildFolder() {
    return stateFolder == null || port == 0
        ? null
        : stateFolder.resolve("builds").resolve(Integer.toString(port));
  }

  /** The token's file of the service on a port, for the service and its clients. */
  public static Path defaultTokenFile(int port) {
    return Path.of(home(), ".takewright", "token-" + port);
  }

  private static String home() {
    // The variable first: scripts in other languages take it for the home folder.
    String home = System.getenv("HOME");
    return home == null || home.isBlank() ? System.getProperty("user.home") : home;
  }

  /** Where a user's programs keep persistent state: XDG Base Directory Specification. */
  public static Path defaultStateFolder() {
    String state = System.getenv("XDG_STATE_HOME");
    Path folder =
        state == null || !Path.of(state).isAbsolute()
            ? Path.of(home(), ".local", "state")
            : Path.of(state);
    return folder.resolve("takewright");
  }
}
