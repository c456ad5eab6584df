package takewright.testing;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermissions;
import java.security.Key;
import java.security.KeyStore;
import java.util.Base64;
import java.util.concurrent.TimeUnit;

/** A certificate that vouches for itself and its key, in PEM, made by the JDK's keytool. */
public record SelfSigned(Path certificate, Path key) {
  /** Makes one; its files are named after {@code name}. */
  public static SelfSigned make(Path folder, String name) throws Exception {
    Path store = folder.resolve(name + ".p12");
    Process keytool =
        new ProcessBuilder(
                Path.of(System.getProperty("java.home"), "bin", "keytool").toString(),
                "-genkeypair",
                "-alias",
                name,
                "-keyalg",
                "EC",
                "-groupname",
                "secp256r1",
                "-dname",
                "CN=" + name,
                "-ext",
                "san=dns:localhost,ip:127.0.0.1",
                "-validity",
                "2",
                "-keystore",
                store.toString(),
                "-storetype",
                "PKCS12",
                "-storepass",
                "for-tests-only")
            .redirectErrorStream(true)
            .redirectOutput(folder.resolve(name + ".log").toFile())
            .start();
    assertTrue(keytool.waitFor(60, TimeUnit.SECONDS));
    assertEquals(0, keytool.exitValue(), Files.readString(folder.resolve(name + ".log")));
    KeyStore keys = KeyStore.getInstance("PKCS12");
    char[] password = "for-tests-only".toCharArray();
    try (InputStream in = Files.newInputStream(store)) {
      keys.load(in, password);
    }
    Key key = keys.getKey(name, password);
    return new SelfSigned(
        pem(folder, name + ".crt", "CERTIFICATE", keys.getCertificate(name).getEncoded()),
        pem(folder, name + ".key", "PRIVATE KEY", key.getEncoded()));
  }

  private static Path pem(Path folder, String file, String what, byte[] bytes) throws Exception {
    String text = Base64.getMimeEncoder(64, new byte[] {'\n'}).encodeToString(bytes);
    // Only its user may read a key.
    Path pem =
        Files.createFile(
            folder.resolve(file),
            PosixFilePermissions.asFileAttribute(PosixFilePermissions.fromString("rw-------")));
    return Files.writeString(
        pem, "-----BEGIN " + what + "-----\n" + text + "\n-----END " + what + "-----\n");
  }
}
