package takewright.library.sample;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.HexFormat;
import takewright.library.take.CutTake;
import takewright.sheet.Layer;

/** Tells whether a sample that is there is the one that a build would make. */
public final class Recipe {
  /**
   * Changes whenever the same take and sheet would give other bytes: older samples are made again.
   */
  private static final int VERSION = 12;

  private Recipe() {}

  /** A digest of all that a sample's bytes follow from. */
  public static String digest(CutTake cut, SampleMaker.Order order, Layer layer, String description)
      throws IOException {
    StringBuilder all = new StringBuilder().append(VERSION).append('|').append(order);
    all.append('|').append(layer.name()).append('|').append(description);
    for (Path take : cut.take().files().values()) {
      all.append('|').append(take.getFileName()).append(':').append(Files.size(take));
      all.append(':').append(Files.getLastModifiedTime(take).toMillis());
    }
    all.append('|').append(cut.segmentation().roomTone());
    all.append('|').append(cut.take().roomTone());
    return digest(all.toString());
  }

  /** A digest of a text. */
  public static String digest(String text) {
    try {
      MessageDigest digest = MessageDigest.getInstance("SHA-256");
      return HexFormat.of().formatHex(digest.digest(text.getBytes(StandardCharsets.UTF_8)));
    } catch (NoSuchAlgorithmException e) {
      throw new IllegalStateException("every Java has SHA-256", e);
    }
  }
}
