package takewright.cli.show;

import java.security.cert.CertificateException;
import java.util.List;
import java.util.Locale;
import javax.net.ssl.SSLException;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;

/**
 * What is wrong where something answers, but the two do not speak the same: TLS, gRPC or neither.
 */
final class TlsProblems {
  /** What gRPC says where the other side went away, as one does that waits for TLS. */
  private static final List<String> CLOSED =
      List.of(
          "network closed for unknown reason",
          "connection reset",
          "connection closed",
          "broken pipe");

  private TlsProblems() {}

  /** The problem behind a failed call; null if it has nothing to do with TLS. */
  static Problem of(Throwable failure) {
    boolean isTls = false;
    StringBuilder all = new StringBuilder();
    for (Throwable cause = failure; cause != null; cause = cause.getCause()) {
      isTls |= cause instanceof SSLException || cause instanceof CertificateException;
      all.append(cause.getMessage()).append('\n');
    }
    String said = all.toString().toLowerCase(Locale.ROOT);
    if (said.contains("not an ssl/tls record")) {
      return problem("the service there does not use TLS", "leave out the options of TLS");
    }
    if (!isTls && said.contains("first received frame was not settings")) {
      return problem(
          "what answers there does not speak plain gRPC",
          "give --tls-ca if the service uses TLS, or correct --server: plain HTTP and metrics have"
              + " ports of their own");
    }
    if (!isTls && CLOSED.stream().anyMatch(said::contains)) {
      return problem(
          "what answers there closed the connection",
          "give --tls-ca if the service uses TLS, correct --server, or see whether it was stopped");
    }
    if (!isTls) {
      return null;
    }
    if (said.contains("unable to find valid certification path")
        || said.contains("path does not chain")
        || said.contains("signature check failed")) {
      return problem(
          "the service's certificate is not signed by a CA that is trusted here",
          "give the CA's certificate with --tls-ca");
    }
    if (said.contains("no subject alternative") || said.contains("no name matching")) {
      return problem(
          "the service's certificate is for another name",
          "call the service by the name in its certificate");
    }
    if (said.contains("expired") || said.contains("notafter") || said.contains("not yet valid")) {
      return problem("the service's certificate is not valid now", "renew it");
    }
    if (said.contains("certificate_required")
        || said.contains("bad_certificate")
        || said.contains("certificate required")
        || said.contains("handshake_failure")) {
      return problem(
          "the service accepts only clients whose certificate its CA signed",
          "give --tls-cert and --tls-key");
    }
    return problem(
        "TLS with the service failed: " + Problem.oneLine(deepest(failure).getMessage()),
        "check the certificates of both sides");
  }

  private static Throwable deepest(Throwable failure) {
    Throwable cause = failure;
    while (cause.getCause() != null) {
      cause = cause.getCause();
    }
    return cause;
  }

  private static Problem problem(String what, String remedy) {
    return new Problem(Reason.NOT_NOW, "", what, remedy);
  }
}
