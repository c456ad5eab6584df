package takewright.service.access;

import io.grpc.Metadata;
import io.grpc.ServerCall;
import io.grpc.ServerCallHandler;
import io.grpc.ServerInterceptor;
import io.grpc.StatusRuntimeException;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.FileSystems;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.StandardOpenOption;
import java.nio.file.attribute.FileAttribute;
import java.nio.file.attribute.PosixFilePermissions;
import java.security.MessageDigest;
import java.security.SecureRandom;
import java.util.HexFormat;
import java.util.Set;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;
import takewright.service.wire.ErrorDetails;

/** The access token: whoever can read the user's files can call the service. */
public final class AccessToken implements ServerInterceptor {
  private static final Metadata.Key<String> AUTHORIZATION =
      Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER);
  private static final String SCHEME = "Bearer ";

  /** Bytes of a token: 256 bits, beyond guessing. */
  private static final int BYTES = 32;

  /** Answered without a token, since they reveal only the public contract. */
  private static final Set<String> OPEN =
      Set.of(
          "grpc.health.v1.Health",
          "grpc.reflection.v1.ServerReflection",
          "grpc.reflection.v1alpha.ServerReflection");

  private final String token;
  private final byte[] expected;
  private volatile Path file;

  public AccessToken() {
    byte[] random = new byte[BYTES];
    new SecureRandom().nextBytes(random);
    token = HexFormat.of().formatHex(random);
    expected = token.getBytes(StandardCharsets.US_ASCII);
  }

  /**
   * Writes the token to a file that only this user can read, instead of one that an earlier server
   * left; no one sees half of it. A folder that is missing is made, for this user alone.
   *
   * @throws FileProblemException if the file is there and holds anything but a token, or if its
   *     folder is a file
   */
  public void write(Path target) throws IOException {
    Path whole = target.toAbsolutePath();
    Path folder = whole.getParent();
    if (!Files.isDirectory(folder)) {
      try {
        Files.createDirectories(folder, onlyOwner("rwx------"));
      } catch (FileAlreadyExistsException e) {
        throw refused(whole, ", but " + e.getFile() + " is not a folder");
      }
    }
    requireToken(whole);
    Path temporary = Files.createTempFile(folder, ".token-", "", onlyOwner("rw-------"));
    try {
      try (FileChannel out = FileChannel.open(temporary, StandardOpenOption.WRITE)) {
        ByteBuffer bytes = StandardCharsets.US_ASCII.encode(token + "\n");
        while (bytes.hasRemaining()) {
          out.write(bytes);
        }
        out.force(true);
      }
      Files.move(
          temporary, whole, StandardCopyOption.ATOMIC_MOVE, StandardCopyOption.REPLACE_EXISTING);
    } finally {
      Files.deleteIfExists(temporary);
    }
    file = whole;
  }

  /** Of an existing file, a service reads at most a token's length before it refuses it. */
  private static void requireToken(Path file) throws IOException {
    if (Files.exists(file, LinkOption.NOFOLLOW_LINKS)
        && !(Files.isRegularFile(file, LinkOption.NOFOLLOW_LINKS)
            && Files.size(file) == 2 * BYTES + 1
            && Files.readString(file, StandardCharsets.ISO_8859_1).matches("[0-9a-f]+\n"))) {
      throw refused(
          file, ", which exists and is " + (Files.isDirectory(file) ? "a folder" : "no token"));
    }
  }

  private static FileProblemException refused(Path file, String why) {
    return new FileProblemException(
        new Problem(
            Reason.ALREADY_THERE, "token_file", "names " + file + why, "name another file"));
  }

  /** Removes the file, if it still holds this token and not that of a later server. */
  public void remove() throws IOException {
    Path written = file;
    if (written != null
        && Files.isRegularFile(written)
        && Files.readString(written, StandardCharsets.US_ASCII).strip().equals(token)) {
      Files.delete(written);
    }
  }

  public Path file() {
    return file;
  }

  private static FileAttribute<?>[] onlyOwner(String permissions) {
    // On other systems, a user's home folder is closed to others by default.
    if (!FileSystems.getDefault().supportedFileAttributeViews().contains("posix")) {
      return new FileAttribute<?>[0];
    }
    return new FileAttribute<?>[] {
      PosixFilePermissions.asFileAttribute(PosixFilePermissions.fromString(permissions))
    };
  }

  @Override
  public <Q, A> ServerCall.Listener<Q> interceptCall(
      ServerCall<Q, A> call, Metadata headers, ServerCallHandler<Q, A> next) {
    if (OPEN.contains(call.getMethodDescriptor().getServiceName())) {
      return next.startCall(call, headers);
    }
    String given = headers.get(AUTHORIZATION);
    if (given != null && fits(given)) {
      return next.startCall(call, headers);
    }
    StatusRuntimeException refused =
        ErrorDetails.of(
            new Problem(
                Reason.TOKEN_WRONG,
                "",
                given == null ? "no token was sent" : "the token is not that of this server",
                "send it as metadata, `authorization` with `Bearer TOKEN`, from "
                    + (file == null ? "the server's token file" : file)));
    Metadata trailers = refused.getTrailers();
    call.close(refused.getStatus(), trailers == null ? new Metadata() : trailers);
    return new ServerCall.Listener<>() {};
  }

  /** The scheme's case does not matter (RFC 9110, 11.1). */
  private boolean fits(String given) {
    return given.regionMatches(true, 0, SCHEME, 0, SCHEME.length())
        && isToken(given.substring(SCHEME.length()).strip());
  }

  /** Whether a text is the token; the time taken does not tell it. */
  public boolean isToken(String text) {
    return MessageDigest.isEqual(text.getBytes(StandardCharsets.US_ASCII), expected);
  }
}
